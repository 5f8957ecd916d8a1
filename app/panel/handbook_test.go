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
	b.WriteString(
		"# The keyboard\n\n**F1** shows this list in the window. A letter alone never moves the dish and never ends " +
			"a motion; " +
			"what does is Ctrl and a letter, and that is not heard while a dialog is open or a line to type in has " +
			"the " +
			"keyboard. Esc and Ctrl+. work everywhere and always.\n" +
			"<!-- made from the window's own list: go test ./app/panel -run Handbook -update -->\n\n| key | does " +
			"|\n|---|---|\n")
	for _, line := range keyMap() {
		fmt.Fprintf(&b, "| %s | %s |\n", line.key, line.does)
	}
	b.WriteString(
		"\nA control that has the keyboard is ringed. Whatever is open, a menu, a sheet or a list, has Cancel or " +
			"Close, and " +
			"says what Esc does at that moment: with the dish at rest it closes, while something moves, tracks, " +
			"is armed " +
			"or about to start it stops the dish as well. " +
			"Space and Enter act once each time they are pressed, however long they are held; after a dialog the " +
			"keyboard is where it was before.\n")
	if *update {
		if err := os.WriteFile(keyboardPage, []byte(b.String()), 0o644); err != nil {
			t.Fatal(err)
		}
	}
	if got, err := os.ReadFile(keyboardPage); err != nil || string(got) != b.String() {
		t.Errorf("%s differs from the keys: go test ./app/panel -run Handbook -update (%v)", keyboardPage, err)
	}
}
