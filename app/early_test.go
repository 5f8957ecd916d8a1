package main

import (
	"testing"

	"fyne.io/fyne/v2/lang"
)

// Whatever the language of the desktop, the library's own words are English, and the language for which it looks for
// a font is the one that hardly any font has.
func TestLanguage(t *testing.T) {
	t.Setenv("LC_ALL", "")
	t.Setenv("LC_MESSAGES", "")
	t.Setenv("LANG", "de_DE.UTF-8")
	for _, words := range []string{"Cancel", "Save", "Folder"} {
		if got := lang.L(words); got != words {
			t.Errorf("%q reads %q", words, got)
		}
	}
	if first := lang.SystemLocale().LanguageString(); first != "got" {
		t.Errorf("a font is looked for that has %q", first)
	}
}
