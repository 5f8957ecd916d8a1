package setup

import (
	"context"
	"fmt"
	"strings"
	"sync/atomic"
	"time"

	"beamhelm/app/panel/offwindow"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// Board is where the enclosure's firmware goes, and what is done there.
type Board struct {
	// Port of the board; Station is the path of the station file, empty for the unchanged table.
	Port, Station string
	// Write the firmware and read it back; else only compare.
	Write bool
}

// firmwareWithin is longer than a transfer may take.
const firmwareWithin = 3 * time.Minute

// flashing is the sheet of the enclosure's firmware. What it has begun goes on
// when the sheet is closed: half a transfer leaves a board that answers nobody.
type flashing struct {
	pane *Pane
	job  offwindow.Job
	// Last typed; outcome of the last time, empty for none.
	port, station, outcome string
	tone                   view.Tone
	confirm                bool // the first press of Write has been, at the tick asked
	asked                  uint64
	board                  Board
	began                  uint64 // the tick
	abort                  context.CancelFunc
	progress               *atomic.Pointer[string]

	// Of the sheet while it is open:
	sheet                          *widget.Sheet
	ports, write, verify, breakOff *widget.Button
	portEntry, stationEntry        *widget.Entry
	told                           *widget.Prose
}

func newFlashing(p *Pane) *flashing {
	f := &flashing{pane: p}
	f.job.Mark = func(bool) { f.look() }
	return f
}

// Writing says whether a board's firmware is being written: nothing may end the program then unasked.
func (p *Pane) Writing() bool { return p.firmware.job.Busy() && p.firmware.board.Write }

// toldRows is the room for what is told, so that nothing moves when something is.
const toldRows = 8

// open opens the sheet, which shows what is under way.
func (f *flashing) open() {
	const words = "For an ATmega2560 board, by its own USB port. First isolate the motors' supply: while the board " +
		"is written, and until the new program has started, " +
		"its outputs float. The station file says what is fitted at your dish: 'beamhelm enclosure station' prints " +
		"one to change. Without one the table is written unchanged."
	f.portEntry, f.stationEntry = widget.NewEntry("firmware-port", "/dev/ttyACM0"),
		widget.NewEntry("firmware-station", "/home/…/dish.txt; empty: the unchanged table")
	f.portEntry.SetText(f.port)
	f.stationEntry.SetText(f.station)
	f.portEntry.OnChanged = func(typed string) { f.port = strings.TrimSpace(typed); f.confirm = false; f.look() }
	f.stationEntry.OnChanged = func(typed string) { f.station = strings.TrimSpace(typed); f.confirm = false; f.look() }
	f.ports = widget.NewButton("Ports found…", "firmware-ports", "The serial ports of this computer",
		f.findPorts).Tight().Sized(widget.SmallText)
	f.write = widget.NewButton("", "firmware-write",
		"Writes the firmware with the station's table to the board and reads it back; asks a second time",
		func() { f.press() }).Reserve("Write now, motors isolated")
	f.verify = widget.NewButton("Verify", "firmware-verify", "Reads the board and compares; the enclosure restarts",
		func() { f.begin(false) })
	f.breakOff = widget.NewButton("Abort", "firmware-abort",
		"Break off what is under way: a board that is half written must be written again", func() { f.abort() })
	close := widget.NewButton("Close", "firmware-close", "Close this; what is under way goes on", nil)
	f.told = widget.NewProse("").Small().Rows(toldRows).Named("firmware-result")
	f.confirm = false
	f.sheet = f.pane.with.Open.ShowSheet("firmware-dialog", "Enclosure firmware", widget.Column(6,
		widget.Fixed(widget.NewProse(words).Small()),
		widget.Fixed(widget.NewLabel("Board's port")),
		widget.Fixed(widget.Row(6, widget.Part{Object: f.portEntry, Share: 1, Min: 120}, widget.Fixed(f.ports))),
		widget.Fixed(widget.NewLabel("Station file")), widget.Fixed(f.stationEntry),
		widget.Fixed(f.told)), []*widget.Button{close, f.breakOff, f.verify, f.write}, f.portEntry)
	f.sheet.OnTick(func(view.Now) { f.look() })
	f.sheet.OnClosed(func() { f.sheet, f.confirm = nil, false })
	f.look()
}

// look brings the sheet up to date.
func (f *flashing) look() {
	if f.told == nil {
		return // it was never opened
	}
	busy, against := f.job.Busy(), view.AgainstFirmware(f.pane.now)
	if against != "" {
		f.confirm = false
	}
	ready := !busy && against == "" && f.port != ""
	words, look := "Write…", widget.Filled
	if f.mayWrite() {
		words, look = "Write now, motors isolated", widget.Caution
	}
	f.write.Set(words, look)
	f.write.SetEnabled(ready)
	f.verify.SetEnabled(ready)
	f.ports.SetEnabled(!busy)
	f.breakOff.SetEnabled(busy)
	switch {
	case busy:
		f.told.Set(f.underWay(), view.Plain)
	case against != "":
		f.told.Set(view.Sentence(against), view.Attention)
	case f.confirm:
		f.told.Set(fmt.Sprintf("This replaces the program of the board at %s. Press again to write.", f.port),
			view.Attention)
	default:
		f.told.Set(f.outcome, f.tone)
	}
}

// underWay says how far it is.
func (f *flashing) underWay() string {
	words := "Waiting for the boot loader"
	if said := f.progress.Load(); said != nil {
		words = *said
	}
	return fmt.Sprintf("%s. %d s", words, (f.pane.now.Tick-f.began)/10)
}

// press is a press of Write: the first one asks.
func (f *flashing) press() {
	switch {
	case f.mayWrite():
		f.begin(true)
	case !f.confirm:
		f.confirm, f.asked = true, f.pane.now.Tick
		f.look()
	}
}

// mayWrite says whether a press of Write writes: the question was seen for longer than a double click takes.
func (f *flashing) mayWrite() bool {
	return f.confirm && f.pane.now.Tick >= f.asked+widget.SecondClickWithin
}

// begin begins beside the window's goroutine, and tells what came of it.
func (f *flashing) begin(write bool) {
	if f.job.Busy() || view.AgainstFirmware(f.pane.now) != "" {
		f.look()
		return
	}
	f.confirm, f.outcome, f.began = false, "", f.pane.now.Tick
	f.board = Board{Port: f.port, Station: f.station, Write: write}
	aborted, abort := context.WithCancel(context.Background())
	progress := &atomic.Pointer[string]{}
	f.abort, f.progress = abort, progress
	board, keeper := f.board, f.pane.keeper
	offwindow.Do(&f.job, firmwareWithin, func(ctx offwindow.Context) (string, error) {
		ctx, release := ctx.EndedBy(aborted)
		defer release()
		return keeper.Firmware(ctx, board, func(stage string, percent int) {
			words := fmt.Sprintf("%s, %d %%", view.Sentence(stage), percent)
			progress.Store(&words)
		})
	}, func(holds string, err error) {
		abort()
		f.outcome, f.tone = holds, view.Plain
		if err != nil {
			f.outcome, f.tone = "▲ "+view.Sentence(err.Error()), view.Attention
		}
		if f.sheet == nil {
			first, _, _ := strings.Cut(f.outcome, "\n")
			f.pane.told.Set(first, f.tone)
		}
		f.look()
	})
}

// findPorts offers the ports that are there.
func (f *flashing) findPorts() {
	inBackground(f.pane, "", offwindow.Usual, func(ctx offwindow.Context) ([]Port, error) {
		return f.pane.keeper.Ports(ctx), nil
	}, func(ports []Port) {
		if f.sheet == nil {
			return
		}
		if len(ports) == 0 {
			f.outcome, f.tone = "No serial port is found: is the board's USB cable plugged in? Any path can be typed.",
				view.Attention
			f.look()
			return
		}
		var items []widget.Item
		for _, port := range ports {
			items = append(items, widget.Item{Words: strings.TrimSpace(port.Path + "  " + port.Words),
				Name: "firmware-port-" + view.Name(port.Path),
				Act:  func() { f.portEntry.SetText(port.Path) }})
		}
		f.pane.with.Open.ShowItems("firmware-port-list", f.ports, items)
	})
}
