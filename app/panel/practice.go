package panel

import (
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// PracticeSwitch is the way to the simulated dish and back.
type PracticeSwitch interface {
	// Blocked says why there is no way back to a dish; empty where there is one.
	Blocked() string
	// Go ends the program in its order and opens it again on the other side.
	Go()
}

// offerPractice offers the way to practice and back under View.
func (w *Window) offerPractice(way PracticeSwitch) {
	if way == nil {
		return
	}
	words := "Practice…"
	if w.follow.desk.Status().Practice {
		words = "Leave practice…"
	}
	w.right.offer(words, "", "practice-switch",
		"Between your dish and the simulated one; the program opens again", func() {
			w.askPractice(way)
		})
}

// askPractice says what happens, and asks.
func (w *Window) askPractice(way PracticeSwitch) {
	title, verb := "Practice with the simulated dish", "Start practice"
	words := "The program ends in its order and opens again with a simulated dish: your dish stops, drive power " +
		"goes off " +
		"and the transmit permit ends. Nothing that you do then reaches your dish."
	if w.now.Practice {
		title, verb = "Leave practice", "Open your dish"
		words = "The program opens again with the settings of your dish, and connects to its enclosure. " +
			"Nothing moves before you order it."
	}
	cancel := widget.NewButton("Cancel", "practice-cancel", "Close without a change", nil)
	leave := widget.NewButton(verb, "practice-go", "Ends this session and opens the other one", nil)
	blocked := way.Blocked()
	note := widget.NewProse(blocked).Small().Tone(view.Attention).Named("practice-blocked")
	leave.SetEnabled(blocked == "")
	sheet := w.with.Open.ShowSheet("practice-dialog", title,
		widget.Column(8, widget.Fixed(widget.NewProse(words)), widget.Fixed(note)), []*widget.Button{cancel, leave},
		cancel)
	leave.SetAct(func() {
		sheet.Close()
		way.Go()
	})
}
