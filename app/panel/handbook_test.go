package panel

import (
	"flag"
	"fmt"
	"os"
	"strings"
	"testing"
)

// keyboardPage is the handbook's page of keys, from here.
const keyboardPage = "../../assets/handbook/keyboard.md"

var update = flag.Bool("update", false, "write the handbook's page of keys anew")

// The handbook's page of keys is the list that F1 shows.
func TestHandbookListsTheKeys(t *testing.T) {
	var b strings.Builder
	b.WriteString("# The keyboard\n\n**F1** shows this list in the window. Letters work wherever no line to type in has the keyboard; Esc works everywhere and always.\n" +
		"<!-- made from the window's own list: go test ./app/panel -run Handbook -update -->\n\n| key | does |\n|---|---|\n")
	for _, line := range keyMap() {
		fmt.Fprintf(&b, "| %s | %s |\n", line.key, line.does)
	}
	b.WriteString("\nA control that has the keyboard is ringed. Whatever is open, a menu, a sheet or a list, Esc closes it and stops the dish.\n")
	if *update {
		if err := os.WriteFile(keyboardPage, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if got, err := os.ReadFile(keyboardPage); err != nil || string(got) != b.String() {
		t.Errorf("%s differs from the keys: go test ./app/panel -run Handbook -update (%v)", keyboardPage, err)
	}
}
