package command

import (
	"bytes"
	"errors"
	"strings"
	"testing"

	"beamhelm/app/stopline"
)

func TestStopsStatus(t *testing.T) {
	stands := stopline.Answer{Standing: true, Words: "Cold Harbour Field: stopped, confirmed"}
	moves := stopline.Answer{Words: "Second dish: stop requested; not confirmed"}
	silent := stopline.Answer{Path: "/run/x", Err: errors.New("wait for the panel's answer: i/o timeout")}
	for _, row := range []struct {
		name    string
		answers []stopline.Answer
		wrong   error
		status  int
		says    string
	}{
		{"one that stands", []stopline.Answer{stands}, nil, 0, "Cold Harbour Field: stopped, confirmed\n"},
		{"one that moves", []stopline.Answer{moves}, nil, 3, "not confirmed"},
		{"one of each", []stopline.Answer{stands, moves}, nil, 3, stands.Words + "\n" + moves.Words},
		{"one that is silent", []stopline.Answer{silent, stands, moves}, nil, 5, "/run/x: wait for"},
		{"nobody", nil, nil, 4, "no running panel"},
		{"a folder of somebody else", nil, errors.New("/tmp/x belongs to somebody else"), 5,
			"belongs to somebody else"},
		{"the same beside one that stands", []stopline.Answer{stands}, errors.New("/tmp/x belongs to somebody else"), 5,
			stands.Words},
	} {
		var out bytes.Buffer
		ask := func() ([]stopline.Answer, error) { return row.answers, row.wrong }
		if got := stopBy(ask, nil, &out, &out); got != row.status || !strings.Contains(out.String(), row.says) {
			t.Errorf("%s: status %d, want %d: %q", row.name, got, row.status, out.String())
		}
	}
	var out bytes.Buffer
	never := func() ([]stopline.Answer, error) { t.Error("it asked"); return nil, nil }
	if got := stopBy(never, []string{"now"}, &out, &out); got != 2 {
		t.Errorf("with an argument: %d", got)
	}
	if got := stopBy(never, []string{"-h"}, &out, &out); got != 0 ||
		!strings.Contains(out.String(), "  3  stop was requested") {
		t.Errorf("-h: %d, %q", got, out.String())
	}
}
