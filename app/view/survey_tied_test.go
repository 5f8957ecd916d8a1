package view

import (
	"strings"
	"testing"

	"beamhelm/app/desk"
	"beamhelm/drive/mount"
)

// Terms that can hardly be told apart say so, and no others.
func TestTiedTerms(t *testing.T) {
	fit := &mount.Fit{
		Terms: []mount.FittedTerm{{Term: mount.TermAzZero}, {Term: mount.TermElZero, Held: "too few"},
			{Term: mount.TermLeanNorth}, {Term: mount.TermSag}},
		Correlation: [][]float64{{1, 0.5, -0.95}, {0.5, 1, 0.2}, {-0.95, 0.2, 1}},
	}
	var status desk.Status
	status.Survey.Fit = fit
	lines := SurveyTerms(Now{Status: &status})
	for i, want := range []string{", tied to " + mount.TermSag.String(), "", "",
		", tied to " + mount.TermAzZero.String()} {
		if got := lines[i].Note.Words; want == "" && strings.Contains(got, "tied") || !strings.HasSuffix(got, want) {
			t.Errorf("term %d: %q, want %q", i, got, want)
		}
	}
}
