// Command picture draws the house from the imports of its packages: rooms, and an arrow from each to what it uses.
// An arrow is left out where a longer way leads there; one that runs upward is drawn dashed.
//
//	go run ./.ci/picture > .ci/picture/house.svg
package main

import (
	"fmt"
	"os"
	"os/exec"
	"slices"
	"strings"
)

// room is a part of the house: the packages beneath these paths that no other room names more closely.
type room struct {
	name, about string
	paths       []string
}

// house is the rooms from the top down, a row each line.
var house = [][]room{
	{{"app, app/command", "wiring, start and end, subcommands",
		[]string{"app/command", "app/rehearse", "app/practice"}}},
	{{"app/panel", "the window", []string{"app/panel"}}},
	{{"app/…", "what surrounds the desk: records, keying, radio, publishing", []string{"app"}}},
	{{"app/view, contact", "status into words, figures and tones; contacts", []string{"app/view", "app/contact"}}},
	{{"app/desk, commission", "orders, and what they start; the first work at a new dish",
		[]string{"app/desk", "app/commission"}}},
	{{"app/message, alarm, wear…", "messages, alarms, the baseline", []string{"app/message", "app/alarm", "app/wear",
		"app/mode", "app/printable"}},
		{"app/settings", "the file, its rules and defaults", []string{"app/settings", "app/regular"}},
		{"app/audio, app/echotest", "sound, and own echoes found in it",
			[]string{"app/audio", "app/echotest", "app/wavfile"}}},
	{{"drive", "the loop, the line, meters, the simulated enclosure", []string{"drive"}},
		{"ephem", "the sky: places, noise, echo, budget", []string{"ephem"}}},
	{{"drive/step", "one step: guards, motion, mount, registers",
		[]string{"drive/step", "drive/guard", "drive/motion", "drive/mount", "drive/enclosure"}}},
	{{"assets", "embedded files: icons, handbook, catalogue", []string{"assets"}},
		{"clock, ending", "the computer's clock, and the end of the program", []string{"clock", "ending"}}},
}

func main() {
	list, err := exec.Command("go", "list", "-tags", "no_emoji", "-f",
		"{{.ImportPath}} {{join .Imports \" \"}}", "./...").Output()
	if err != nil {
		fmt.Fprintln(os.Stderr, "picture:", err)
		os.Exit(1)
	}
	fmt.Print(draw(imports(string(list))))
}

// outside lists the packages that only measure or compare the product.
var outside = []string{"drive/bench", "ephem/peers"}

// roomOf is the number of a package's room; -1 where it is in none.
func roomOf(path string) int {
	path, ours := strings.CutPrefix(path, "beamhelm/")
	beneath := func(p string) bool { return path == p || strings.HasPrefix(path, p+"/") }
	if !ours || slices.ContainsFunc(outside, beneath) {
		return -1
	}
	if path == "app" {
		return 0
	}
	best, longest, number := -1, 0, 0
	for _, row := range house {
		for _, r := range row {
			for _, p := range r.paths {
				if beneath(p) && len(p) > longest {
					best, longest = number, len(p)
				}
			}
			number++
		}
	}
	return best
}

// imports says which room uses which, each by its number, from a list of packages with what they import.
func imports(list string) map[[2]int]bool {
	edges := map[[2]int]bool{}
	for line := range strings.Lines(list) {
		fields := strings.Fields(line)
		for _, used := range fields[1:] {
			from, to := roomOf(fields[0]), roomOf(used)
			if from >= 0 && to >= 0 && from != to {
				edges[[2]int{from, to}] = true
			}
		}
	}
	return edges
}

// shown leaves out an edge where a way over other rooms leads to the same one.
func shown(edges map[[2]int]bool) [][2]int {
	var reaches func(from, to int, seen map[int]bool) bool
	reaches = func(from, to int, seen map[int]bool) bool {
		if from == to {
			return true
		}
		seen[from] = true
		for e := range edges {
			if e[0] == from && e[1] > from && !seen[e[1]] && reaches(e[1], to, seen) {
				return true
			}
		}
		return false
	}
	var kept [][2]int
	for e := range edges {
		short := false
		for over := range edges {
			if over[0] == e[0] && over[1] != e[1] && over[1] > e[0] && e[1] > e[0] && reaches(over[1], e[1], map[int]bool{}) {
				short = true
			}
		}
		if !short {
			kept = append(kept, e)
		}
	}
	slices.SortFunc(kept, func(a, b [2]int) int { return (a[0]-b[0])*100 + a[1] - b[1] })
	return kept
}
