package main

import (
	"strings"

	"beamhelm/app/panel"
	"beamhelm/app/practice"
	"beamhelm/drive/replica/plant"
)

// faults are those of the simulated dish; nil for a real one.
func (p *session) faults() panel.Faults {
	if p.dish == nil {
		return nil
	}
	return dishFaults{p.dish.Dish}
}

// dishFaults shows the window the faults of a simulated dish.
type dishFaults struct{ *practice.Dish }

// Put implements panel.Faults.
func (d dishFaults) Put(name string) error {
	f, _, err := plant.Named(name)
	if err != nil {
		return err
	}
	return d.Dish.Put(f)
}

// Kinds implements panel.Faults.
func (d dishFaults) Kinds() []panel.FaultGroup {
	groups := []panel.FaultGroup{{Title: "Azimuth"}, {Title: "Elevation"}, {Title: "Drives and enclosure"}, {Title: "Weather, receiver, transmitter"}}
	later := false
	for _, kind := range plant.Descriptions() {
		short := strings.ReplaceAll(kind.Name, "-", " ")
		words := strings.ToUpper(kind.Words[:1]) + kind.Words[1:]
		if kind.OfAxis {
			groups[0].Kinds = append(groups[0].Kinds, panel.FaultKind{Name: "az-" + kind.Name, Short: short, Words: words})
			groups[1].Kinds = append(groups[1].Kinds, panel.FaultKind{Name: "el-" + kind.Name, Short: short, Words: words})
			continue
		}
		later = later || kind.Kind == plant.Storm
		at := 2
		if later {
			at = 3
		}
		groups[at].Kinds = append(groups[at].Kinds, panel.FaultKind{Name: kind.Name, Short: short, Words: words})
	}
	return groups
}
