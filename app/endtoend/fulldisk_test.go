//go:build window && linux

package endtoend

import (
	"bytes"
	"image/color"
	"image/png"
	"os"
	"path/filepath"
	"regexp"
	"strings"
	"testing"
	"time"

	"beamhelm/app/wavfile"
)

// TestSpectrumToAFullDisk: a picture and a recording that don't fit on the disk are not written, and one line says why.
// No part of them is left there, the file of that name that was there is as it was, and the spectrum goes on. With room
// again both are written from the same sheet.
func TestSpectrumToAFullDisk(t *testing.T) {
	disk := filepath.Join(privateFolder(t), "disk")
	if !smallDisk(t, disk) {
		t.Fatal("this test takes the right to mount")
	}
	picture, recording := filepath.Join(disk, "heard.png"), filepath.Join(disk, "heard.wav")
	old := []byte("an older one")
	if err := os.WriteFile(picture, old, 0o600); err != nil {
		t.Fatal(err)
	}
	room := fillDisk(t, disk)
	leaveRoom(t, disk, 4096)

	p := openPanel(t, t.TempDir(), "-practice")
	p.click("view-menu-button")
	p.click("spectrum")
	p.newestRow("")
	p.clickUntil("spectrum-save", "the sheet", visible("spectrum-dialog"))
	p.enter("spectrum-path-entry", picture)
	says := func(words string) func(layout) bool {
		return func(l layout) bool {
			return strings.Contains(l.Controls["spectrum-wrong"].Words, words) && l.Controls["spectrum-png"].Enabled
		}
	}
	const full = "Not written: the disk is full"
	p.clickUntil("spectrum-png", "the question", says("such a file already"))
	p.clickUntil("spectrum-png", "the reason", says(full))
	p.enter("spectrum-path-entry", recording)
	p.await(5*time.Second, "the reason gone with its file", func(l layout) bool { return !says(full)(l) })
	p.clickUntil("spectrum-minute", "the reason", says(full))
	if got, err := os.ReadFile(picture); err != nil || !bytes.Equal(got, old) {
		t.Errorf("the picture that was there holds %d bytes, %v", len(got), err)
	}
	if left, err := os.ReadDir(disk); err != nil || len(left) != 2 { // with what fills the disk
		t.Errorf("on the disk: %v, %v", left, err)
	}
	p.clickUntil("spectrum-cancel", "no sheet", func(l layout) bool { return !visible("spectrum-dialog")(l) })
	p.newestRow(p.newestRow(""))

	room()
	p.clickUntil("spectrum-save", "the sheet", visible("spectrum-dialog"))
	p.enter("spectrum-path-entry", recording)
	written := func(path string) func(layout) bool {
		return func(l layout) bool {
			return !visible("spectrum-dialog")(l) && l.Controls["spectrum-result"].Words == "written: "+path
		}
	}
	p.clickUntil("spectrum-minute", "the recording", written(recording))
	file, err := os.ReadFile(recording)
	if err != nil {
		t.Fatal(err)
	}
	if audio, err := wavfile.Read(bytes.NewReader(file)); err != nil || len(audio.Samples) < int(audio.RateHz) {
		t.Errorf("the recording: %g Hz, %d samples, %v", audio.RateHz, len(audio.Samples), err)
	}
	p.clickUntil("spectrum-save", "the sheet", visible("spectrum-dialog"))
	p.enter("spectrum-path-entry", picture)
	p.clickUntil("spectrum-png", "the question", says("such a file already"))
	p.clickUntil("spectrum-png", "the picture", written(picture))
	file, err = os.ReadFile(picture)
	if err != nil {
		t.Fatal(err)
	}
	shown, err := png.Decode(bytes.NewReader(file))
	if err != nil {
		t.Fatal(err)
	}
	colours := map[color.Color]bool{}
	for i := range shown.Bounds().Dx() * shown.Bounds().Dy() {
		colours[shown.At(i%shown.Bounds().Dx(), i/shown.Bounds().Dx())] = true
	}
	if len(colours) < 100 { // those of the waterfall alone are more
		t.Errorf("the picture has %d colours", len(colours))
	}
}

// newestRow points near the top of the waterfall and returns the time of the row there, which must be another than one
// before.
func (p *panel) newestRow(before string) (at string) {
	p.t.Helper()
	p.clickAt("spectrum-plot", 0.6, 0.4)
	p.await(20*time.Second, "a row after "+before, func(l layout) bool {
		at = regexp.MustCompile(`\d\d:\d\d:\d\d UTC`).FindString(l.Controls["spectrum-readout"].Words)
		return at != "" && at != before
	})
	return at
}
