package panel

import (
	"testing"

	"fyne.io/fyne/v2"
	"fyne.io/fyne/v2/container"

	"beamhelm/app/panel/widget"
)

// Events that find no room lie outside of the highest screen, not over what stands higher in the window.
func TestEventsWithoutRoomLieOutside(t *testing.T) {
	open(t, fyne.NewSize(1400, 900), nil)
	line := container.New(fitting{gap: 22})
	for range 4 {
		line.Add(widget.NewLabel("15:09:21 Y factor of the Sun 16.50 dB, G/T 17.8 dB/K"))
	}
	line.Resize(fyne.NewSize(500, 20))
	shown := 0
	for _, object := range line.Objects {
		switch y := object.Position().Y; {
		case y == 0:
			shown++
		case y > -9000: // twice the height of a screen of 8K
			t.Errorf("an event without room lies at %v", y)
		}
	}
	if shown != 1 {
		t.Errorf("%d events found room", shown)
	}
}
