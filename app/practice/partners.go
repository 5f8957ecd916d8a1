package practice

import (
	"fmt"
	"strings"
	"time"

	"beamhelm/ephem/noise"
)

// SolarFlux is the report of a day's solar flux that practice begins with: the quiet Sun, which is what its sky has.
func SolarFlux(day time.Time) string {
	words := []string{day.UTC().Format(time.DateOnly)}
	for _, p := range noise.QuietSun() {
		words = append(words, fmt.Sprintf("%v %v", p.MHz, p.SFU))
	}
	return strings.Join(words, " ")
}

// Partners is the list of partners that practice begins with, CSV: invented stations.
func Partners() string {
	return `name,locator,polarisation,note
Quarry Ridge,FN42hn,circular,"invented: 4.5 m mesh, 5760 MHz"
Juniper Flat,DM34xp,vertical,invented: 7 m offset
Wattle Plain,QF22ag,horizontal,invented: 3.7 m
Larch Hollow,JO62qm,circular,invented: 9 m
`
}
