package firmware

import (
	"fmt"
	"html"
	"strings"
)

// A drawing is made of rows of text and straight lines, on a light ground, so
// that it can be printed.
const (
	rowHeight   = 22
	boardWidth  = 150
	sideWidth   = 560
	topMargin   = 70
	drawingGrey = "#555"
)

// outward says on which side of the board a pin is drawn: what comes in on the
// left, what goes out on the right.
func (k Kind) outward() bool { return k == Out || k == PWM }

// Wiring is the drawing of the board with every pin and where its wire goes, as SVG.
func Wiring() string {
	var rows [2]int
	var b strings.Builder
	group := [2]string{}
	var body strings.Builder
	for _, p := range Pins() {
		side := 0
		if p.Kind.outward() {
			side = 1
		}
		if p.Group != group[side] {
			group[side] = p.Group
			rows[side]++
			x, anchor := 20, "start"
			if side == 1 {
				x, anchor = 20+2*sideWidth+boardWidth, "end"
			}
			text(&body, x, topMargin+rows[side]*rowHeight, anchor, "bold", p.Group)
			rows[side]++
		}
		wire(&body, side, topMargin+rows[side]*rowHeight, p)
		rows[side]++
	}
	height := topMargin + (max(rows[0], rows[1])+1)*rowHeight
	legend := legendLines()
	total := height + len(legend)*rowHeight + 30
	fmt.Fprintf(&b,
		`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 %d %d" font-family="sans-serif" font-size="13">`+"\n",
		40+2*sideWidth+boardWidth, total)
	fmt.Fprintf(&b, `<rect width="100%%" height="100%%" fill="#fff"/>`+"\n")
	text(&b, 20, 30, "start", "bold", "Enclosure: every pin of the board, and where its wire goes")
	text(&b, 20, 50, "start", "normal",
		"What comes in is on the left, what goes out on the right. The board's ground is the ground of all of them.")
	fmt.Fprintf(&b, `<rect x="%d" y="%d" width="%d" height="%d" fill="#eef" stroke="#000"/>`+"\n", 20+sideWidth,
		topMargin, boardWidth, height-topMargin)
	text(&b, 20+sideWidth+boardWidth/2, topMargin+18, "middle", "bold", "ATmega2560 board")
	b.WriteString(body.String())
	for i, line := range legend {
		text(&b, 20, height+25+i*rowHeight, "start", "normal", line)
	}
	b.WriteString("</svg>\n")
	return b.String()
}

// wire draws a pin's row.
func wire(b *strings.Builder, side, y int, p Pin) {
	edge, far, label, anchor, words := 20+sideWidth, 20+sideWidth-70, 20+sideWidth+8, "start", 20+sideWidth-78
	wordsAnchor := "end"
	if side == 1 {
		edge, far, label, anchor, words, wordsAnchor = 20+sideWidth+boardWidth, 20+sideWidth+boardWidth+70,
			20+sideWidth+boardWidth-8, "end", 20+sideWidth+boardWidth+78, "start"
	}
	fmt.Fprintf(b, `<line x1="%d" y1="%d" x2="%d" y2="%d" stroke="#000"/>`+"\n", edge, y-4, far, y-4)
	text(b, label, y, anchor, "normal", p.Board)
	fmt.Fprintf(b, `<text x="%d" y="%d" text-anchor="middle" font-size="11" fill="%s">%c</text>`+"\n", (edge+far)/2,
		y-7, drawingGrey, p.Kind.mark())
	text(b, words, y, wordsAnchor, "normal", p.Words)
}

func text(b *strings.Builder, x, y int, anchor, weight, words string) {
	fmt.Fprintf(b, `<text x="%d" y="%d" text-anchor="%s" font-weight="%s">%s</text>`+"\n", x, y, anchor, weight,
		html.EscapeString(words))
}

// mark is the letter that stands for a kind on a drawing.
func (k Kind) mark() rune {
	return map[Kind]rune{Contact: 'c', Track: 't', Out: 'o', PWM: 'p', Analog: 'a', Serial: 's', Wire: 'w'}[k]
}

func legendLines() (lines []string) {
	for _, k := range []Kind{Contact, Track, Analog, Serial, Wire, Out, PWM} {
		lines = append(lines, fmt.Sprintf("%c  %s", k.mark(), k.Words()))
	}
	return lines
}

// StopCircuit is the drawing of what acts without the chip: stop circuit, end
// switches and supply of the motors, as SVG.
func StopCircuit() string {
	var b strings.Builder
	b.WriteString(
		`<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 1000 560" font-family="sans-serif" font-size="13">` +
			"\n" +
			`<rect width="100%" height="100%" fill="#fff"/>` + "\n")
	text(&b, 20, 30, "start", "bold", "What acts without the chip: stop circuit and end switches")
	chain(&b, 90, "Coil circuit of the drive contactor",
		[]string{"+24 V", "stop button at the dish (NC)", "stop button in the shack (NC)",
			"driver from " + PinOf("CONTACTOR").Board + ", across it a contact of the hand panel's key",
			"contactor coil",
			"0 V"})
	chain(&b, 190, "The chip only looks on", []string{"ground", "spare contact of a relay that the stop buttons hold",
		"1 kilohm", PinOf("STOP").Board, "pull-up to 5 V"})
	chain(&b, 290, "Supply of the motors", []string{"drive supply", "fuse",
		"main contacts of the contactor (spare contact to " + PinOf("SUPPLY").Board + ")", "bridges", "0 V"})
	for i, name := range [2]string{"AZ", "EL"} {
		upper, lower := "AZ_CLOCKWISE", "AZ_COUNTER"
		if name == "EL" {
			upper, lower = "EL_UPPER", "EL_LOWER"
		}
		chain(&b, 390+70*i, [2]string{"Azimuth motor", "Elevation motor"}[i], []string{
			"bridge", "end switch (NC), diode across it; second contact to " + PinOf(upper).Board, "motor",
			"end switch (NC), diode across it; second contact to " + PinOf(lower).Board, "bridge"})
	}
	text(&b, 20, 530, "start", "normal", "NC: closed in normal running. Each diode lets the motor leave its end, and "+
		"no further into it. The hand panel's drive goes through the same switches.")
	b.WriteString("</svg>\n")
	return b.String()
}

// chain draws parts in series.
func chain(b *strings.Builder, y int, title string, parts []string) {
	text(b, 20, y-28, "start", "bold", title)
	width := 960 / len(parts)
	for i, part := range parts {
		x := 20 + i*width
		fmt.Fprintf(b, `<rect x="%d" y="%d" width="%d" height="40" fill="#f4f4f4" stroke="#000"/>`+"\n", x, y-20,
			width-20)
		if i > 0 {
			fmt.Fprintf(b, `<line x1="%d" y1="%d" x2="%d" y2="%d" stroke="#000" stroke-width="2"/>`+"\n", x-20, y, x, y)
		}
		lines := wrapped(part, (width-20)/7)
		for k, line := range lines {
			fmt.Fprintf(b, `<text x="%d" y="%d" text-anchor="middle" font-size="11">%s</text>`+"\n", x+(width-20)/2,
				y+4+13*k-13*(len(lines)-1)/2, html.EscapeString(line))
		}
	}
}

// wrapped breaks words into lines of at most that many letters.
func wrapped(words string, maximum int) (lines []string) {
	line := ""
	for word := range strings.FieldsSeq(words) {
		if line != "" && len(line)+1+len(word) > maximum {
			lines, line = append(lines, line), ""
		}
		if line != "" {
			line += " "
		}
		line += word
	}
	return append(lines, line)
}
