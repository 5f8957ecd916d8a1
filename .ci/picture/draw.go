package main

import (
	"fmt"
	"strings"
)

// Lengths in pixels.
const (
	width, rowHigh, boxHigh = 1060, 100, 52
	gap, margin             = 28, 16
	lanes, laneWide         = 96, 12 // for arrows past a row, at each side
)

// place is a room's box.
type place struct {
	room
	x, y, w float64
}

func places() (all []place) {
	for i, row := range house {
		w := (width - 2*lanes - gap*float64(len(row)-1)) / float64(len(row))
		w = min(w, 420)
		left := (width - w*float64(len(row)) - gap*float64(len(row)-1)) / 2
		for j, r := range row {
			all = append(all, place{r, left + float64(j)*(w+gap), margin + float64(i)*rowHigh, w})
		}
	}
	return all
}

// draw returns the picture as SVG 1.1. Its ground is its own, so that it reads on a light and on a dark page.
func draw(edges map[[2]int]bool) string {
	var b strings.Builder
	all, high := places(), margin*2+rowHigh*(len(house)-1)+boxHigh
	fmt.Fprintf(&b, `<svg xmlns="http://www.w3.org/2000/svg" width="%d" height="%d" viewBox="0 0 %d %d" `+
		"font-family=\"sans-serif\">\n<title>Rooms of the house and what each uses</title>\n", width, high, width, high)
	fmt.Fprintf(&b, "<rect width=\"%d\" height=\"%d\" fill=\"#ffffff\"/>\n", width, high)
	b.WriteString(`<marker id="tip" viewBox="0 0 8 8" refX="7" refY="4" markerWidth="7" markerHeight="7" orient="auto">` +
		"<path d=\"M0 0L8 4L0 8Z\" fill=\"#46606e\"/></marker>\n")
	n := &ways{}
	for _, e := range shown(edges) {
		n.arrow(&b, all, e)
	}
	for _, p := range all {
		fmt.Fprintf(&b, "<rect x=\"%.0f\" y=\"%.0f\" width=\"%.0f\" height=\"%d\" rx=\"6\" fill=\"#eaf1f4\" "+
			"stroke=\"#46606e\"/>\n", p.x, p.y, p.w, boxHigh)
		middle := p.x + p.w/2
		fmt.Fprintf(&b, "<text x=\"%.0f\" y=\"%.0f\" text-anchor=\"middle\" font-size=\"15\" font-weight=\"bold\" "+
			"fill=\"#16242b\">%s</text>\n", middle, p.y+22, p.name)
		fmt.Fprintf(&b, "<text x=\"%.0f\" y=\"%.0f\" text-anchor=\"middle\" font-size=\"12\" fill=\"#16242b\">%s</text>\n",
			middle, p.y+40, p.about)
	}
	b.WriteString("</svg>\n")
	return b.String()
}

// ways are the arrows drawn so far: each long one has a lane of its own at a side of the boxes.
type ways struct{ left, right int }

// arrow leads from the lower edge of a room to the upper edge of what it uses, each at a place of its own, and past
// the rows between at a side.
func (n *ways) arrow(b *strings.Builder, all []place, e [2]int) {
	from, to := all[e[0]], all[e[1]]
	share := func(p, other place) float64 {
		towards := (other.x + other.w/2 - p.x - p.w/2) / width
		return p.x + p.w/2 + towards*p.w*0.8
	}
	x1, y1, x2, y2, dash := share(from, to), from.y+boxHigh, share(to, from), to.y, ""
	if e[1] < e[0] {
		y1, y2, dash = from.y, to.y+boxHigh, ` stroke-dasharray="5 4"`
	}
	way := fmt.Sprintf("M%.0f %.0fL%.0f %.0f", x1, y1, x2, y2)
	if y2-y1 > rowHigh {
		lane, number := &n.left, 0.0
		side := 1.0
		if to.x+to.w/2 > width/2 || to.x+to.w/2 == width/2 && n.left > n.right {
			lane, side = &n.right, -1
		}
		*lane++
		number = float64(*lane)
		x := width/2 - side*(width/2-lanes+laneWide*number)
		x1, x2 = from.x+from.w/2-side*(from.w/2-14*number), to.x+to.w/2-side*(to.w/2-14*number)
		way = fmt.Sprintf("M%.0f %.0fV%.0fH%.0fV%.0fH%.0fV%.0f", x1, y1, y1+5+4*number, x, y2-8-4*number, x2, y2)
	}
	fmt.Fprintf(b, "<path d=\"%s\" fill=\"none\" stroke=\"#46606e\"%s marker-end=\"url(#tip)\"/>\n", way, dash)
}
