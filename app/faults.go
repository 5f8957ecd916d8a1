package main

import (
	"slices"
	"strings"
	"sync/atomic"
	"time"

	"beamhelm/app/panel"
	"beamhelm/app/practice"
	"beamhelm/drive/replica/plant"
)

// faults are those of the simulated dish; nil for a real one.
func (p *session) faults() panel.Faults {
	if p.dish == nil {
		return nil
	}
	return dishFaults{p.dish, &p.clockAhead}
}

// dishFaults shows the window the faults of a simulated dish, of the line to it and of the computer's clock.
type dishFaults struct {
	*practice.Served
	clockAhead *atomic.Int64 // nanoseconds
}

// clockFault is the computer's clock that is set while the program runs.
const (
	clockFault = "clock-set"
	clockBy    = 5 * time.Minute
)

// Put implements panel.Faults.
func (d dishFaults) Put(name string) error {
	switch {
	case name == clockFault:
		d.clockAhead.Store(int64(clockBy))
		return nil
	case d.SetLine(name, true):
		return nil
	}
	f, _, err := plant.Named(name)
	if err != nil {
		return err
	}
	return d.Dish.Put(f)
}

// Mend implements panel.Faults.
func (d dishFaults) Mend(name string) error {
	if name == "" || name == clockFault {
		d.clockAhead.Store(0)
	}
	for _, f := range practice.LineFaults() {
		if name == "" || name == f.Name {
			d.SetLine(f.Name, false)
		}
	}
	if name == clockFault || slices.ContainsFunc(practice.LineFaults(),
		func(f practice.LineFault) bool { return f.Name == name }) {
		return nil
	}
	return d.Dish.Mend(name)
}

// Standing implements panel.Faults.
func (d dishFaults) Standing() []string {
	names := append(d.Dish.Standing(), d.LineStanding()...)
	if d.clockAhead.Load() != 0 {
		names = append(names, clockFault)
	}
	return names
}

// Kinds implements panel.Faults.
func (d dishFaults) Kinds() []panel.FaultGroup {
	groups := []panel.FaultGroup{{Title: "Azimuth"}, {Title: "Elevation"}, {Title: "Drives and enclosure"},
		{Title: "Weather, receiver, transmitter"}, {Title: "Cable and computer"}}
	later := false
	for _, kind := range plant.Descriptions() {
		if kind.OfAxis {
			groups[0].Kinds = append(groups[0].Kinds, axisKind("az-", kind))
			groups[1].Kinds = append(groups[1].Kinds, axisKind("el-", kind))
			continue
		}
		later = later || kind.Kind == plant.Storm
		at := 2
		if later {
			at = 3
		}
		groups[at].Kinds = append(groups[at].Kinds, faultKind(kind.Name, kind.Words))
	}
	for _, f := range practice.LineFaults() {
		groups[4].Kinds = append(groups[4].Kinds, faultKind(f.Name, f.Words))
	}
	groups[4].Kinds = append(groups[4].Kinds, faultKind(clockFault,
		"the computer's clock is set forward by 5 minutes, and back when this is cleared"))
	return groups
}

// faultKind shows a fault: its name with spaces, its words as a sentence.
func faultKind(name, words string) panel.FaultKind {
	return panel.FaultKind{Name: name, Short: strings.ReplaceAll(name, "-", " "),
		Words: strings.ToUpper(words[:1]) + words[1:]}
}

// axisKind is that of an axis, which its group names.
func axisKind(axis string, d plant.Description) panel.FaultKind {
	kind := faultKind(d.Name, d.Words)
	kind.Name = axis + kind.Name
	return kind
}
