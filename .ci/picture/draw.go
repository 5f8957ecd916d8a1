package main

import (
	"fmt"
	"slices"
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
	arrows := shown(edges)
	slices.SortStableFunc(arrows, func(a, b [2]int) int { // the longest outermost: so they don't cross
		return int(all[a[1]].y-all[a[0]].y) - int(all[b[1]].y-all[b[0]].y)
	})
	for _, e := range arrows {
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

// ways are the arrows drawn past a row so far: each has a lane of its own at a side of the boxes.
type ways struct{ left, right int }

// arrow leads from the lower edge of a room to the upper edge of what it uses: straight down where no box is in the
// way, else past the rows between at a side. One that runs upward is dashed.
func (n *ways) arrow(b *strings.Builder, all []place, e [2]int) {
	from, to, dash := all[e[0]], all[e[1]], ""
	y1, y2 := from.y+boxHigh, to.y
	if e[1] < e[0] {
		y1, y2, dash = from.y, to.y+boxHigh, ` stroke-dasharray="5 4"`
	}
	way := fmt.Sprintf("M%.0f %.0fL%.0f %.0f", from.x+from.w/2, y1, to.x+to.w/2, y2)
	if x, free := straight(all, from, to); free {
		way = fmt.Sprintf("M%.0f %.0fV%.0f", x, y1, y2)
	} else if y2-y1 > rowHigh {
		way = n.beside(from, to, y1, y2)
	}
	fmt.Fprintf(b, "<path d=\"%s\" fill=\"none\" stroke=\"#46606e\"%s marker-end=\"url(#tip)\"/>\n", way, dash)
}

// straight is where a line leads straight down from one room to another, through the gaps of the rows between.
func straight(all []place, from, to place) (x float64, free bool) {
	left, right := max(from.x, to.x), min(from.x+from.w, to.x+to.w)
	tries := []float64{(left + right) / 2}
	for _, p := range all {
		tries = append(tries, p.x+p.w+gap/2)
	}
	for _, x := range tries {
		blocked := slices.ContainsFunc(all, func(p place) bool {
			return p.y > from.y && p.y < to.y && x > p.x && x < p.x+p.w
		})
		if x > left && x < right && !blocked {
			return x, true
		}
	}
	return 0, false
}

// beside is a way in the next lane at that side on which the room to be reached lies.
func (n *ways) beside(from, to place, y1, y2 float64) string {
	lane, side := &n.left, 1.0
	if to.x+to.w/2 > width/2 || to.x+to.w/2 == width/2 && n.left > n.right {
		lane, side = &n.right, -1
	}
	*lane++
	number := float64(*lane)
	x := width/2 - side*(width/2-lanes+laneWide*number)
	inward := max(1, 5-number) // the outer lane ends nearer to the room's side, beneath the inner one
	x1, x2 := from.x+from.w/2-side*(from.w/2-14*number), to.x+to.w/2-side*(to.w/2-14*inward)
	return fmt.Sprintf("M%.0f %.0fV%.0fH%.0fV%.0fH%.0fV%.0f", x1, y1, y1+5+4*number, x, y2-8-4*inward, x2, y2)
}
