package rows

import (
	"strings"
	"testing"
)

// Columns that nobody asks for may be nameless, as spreadsheets leave them, or stand twice.
func TestReadNamed(t *testing.T) {
	text := "# a remark\r\n b ,x,a,,x,\r\n1,2,3\r\n\r\n# another\r\n4\r\n1,2,3,4,5,6,7\r\n\"\r\n"
	n, err := ReadNamed([]byte(text), Columns{Required: []string{"a", "b"}, Optional: []string{"c"}})
	if err != nil || len(n.List) != 4 {
		t.Fatalf("%d rows, %v", len(n.List), err)
	}
	first, short := n.List[0], n.List[1]
	if n.Field(first, "a") != "3" || n.Field(first, "b") != "1" || n.Field(first, "nothing") != "" || first.Line != 3 ||
		first.Err != nil {
		t.Errorf("%+v", first)
	}
	if n.Field(short, "b") != "4" || n.Field(short, "a") != "" || short.Err != nil {
		t.Errorf("a short row: %+v", short)
	}
	if n.List[2].Err == nil || n.List[3].Err == nil {
		t.Errorf("bad rows: %+v", n.List[2:])
	}
	for text, says := range map[string]string{
		"":                  "empty",
		"# nothing\n":       "no header",
		"a;b\n":             "semicolons",
		"a,c\n1,2\n":        "the column b is missing",
		"a,b,a\n":           "the column a stands twice",
		"c,a,b,c\n":         "the column c stands twice",
		"\xef\xbb\xbfa,b\n": "byte-order mark",
	} {
		if _, err := ReadNamed([]byte(text), Columns{Required: []string{"a", "b"},
			Optional: []string{"c"}}); err == nil || !strings.Contains(err.Error(), says) {
			t.Errorf("%q: %v, want %s", text, err, says)
		}
	}
}
