package rows

import (
	"reflect"
	"strings"
	"testing"
)

func TestRead(t *testing.T) {
	for name, text := range map[string]string{
		"LF":                "a,b\n1,2\n\n\"x,y\",z\n1\n\"\n",
		"CR LF":             "a,b\r\n1,2\r\n\r\n\"x,y\",z\r\n1\r\n\"\r\n",
		"no end after last": "a,b\r\n1,2\r\n\r\n\"x,y\",z\r\n1\r\n\"",
	} {
		header, list, err := Read([]byte(text), "c,d", "a,b")
		if err != nil || header != "a,b" || len(list) != 4 {
			t.Errorf("%s: header %q, %d rows, %v", name, header, len(list), err)
			continue
		}
		if !reflect.DeepEqual(list[0], Row{2, []string{"1", "2"}, nil}) ||
			!reflect.DeepEqual(list[1].Fields, []string{"x,y", "z"}) || list[1].Line != 4 {
			t.Errorf("%s: rows %+v", name, list)
		}
		if list[2].Err == nil || list[3].Err == nil || list[3].Line != 6 {
			t.Errorf("%s: bad rows %+v", name, list[2:])
		}
	}
}

func TestReadRefuses(t *testing.T) {
	for text, says := range map[string]string{
		"":                       "1: empty",
		" \n\r\n":                "1: empty",
		"\xef\xbb\xbfa,b\n1,2\n": "1: it begins with a byte-order mark",
		"\xff\xfea\x00":          "1: it is UTF-16",
		"a;b\n1;2\n":             "1: fields are separated by semicolons",
		"a,c\n1,2\n":             "1: the header is \"a,c\", not a,b",
		"a,b\r\n1,2\n1,2\n":      "2: lines end sometimes",
		"a,b\n1,2\r\n1,2\n":      "2: lines end sometimes",
		"a,b\n1\r,2\n":           "2: a CR stands",
	} {
		if _, _, err := Read([]byte(text), "a,b"); err == nil || !strings.HasPrefix(err.Error(), says) {
			t.Errorf("%q: %v, want %s", text, err, says)
		}
	}
}

func FuzzRead(f *testing.F) {
	f.Add([]byte("a,b\n1,2\n"))
	f.Add([]byte("a,b\r\n\"1\",2\r\n"))
	f.Fuzz(func(t *testing.T, text []byte) {
		_, list, err := Read(text, "a,b")
		if err != nil && list != nil {
			t.Error("rows with an error")
		}
		for _, row := range list {
			if (row.Err == nil) != (len(row.Fields) == 2) {
				t.Errorf("row %+v", row)
			}
		}
	})
}
