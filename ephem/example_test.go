package ephem_test

import (
	"fmt"
	"os"
	"time"

	"beamhelm/ephem"

	"github.com/soniakeys/unit"
)

func coldHarbourField() ephem.Site {
	return ephem.Site{Lat: unit.AngleFromDeg(55.02), Lon: unit.AngleFromDeg(-2.96), HeightM: 190}
}

func ExampleSky_Look() {
	packed, err := os.ReadFile("../assets/ephemeris/de405.pack")
	if err != nil {
		fmt.Println(err)
		return
	}
	sky, err := ephem.New(packed, ephem.Config{})
	if err != nil {
		fmt.Println(err)
		return
	}
	look := sky.Look(coldHarbourField(), ephem.MoonBody(), time.Date(2027, 4, 14, 16, 0, 0, 0, time.UTC))
	seen := ephem.DefaultAir().Refracted(look.El)
	fmt.Printf("azimuth %.3f, elevation %.3f, seen at %.3f degrees, %.0f km, from %v\n",
		look.Az.Deg(), look.El.Deg(), seen.Deg(), look.DistanceKm, look.Origin)
	// Output: azimuth 115.391, elevation 40.147, seen at 40.168 degrees, 365963 km, from JPL DE405
}

func ExampleSky_NextSet() {
	sky, err := ephem.New(nil, ephem.Config{}) // without a pack: the truncated series
	if err != nil {
		fmt.Println(err)
		return
	}
	from := time.Date(2027, 4, 14, 16, 0, 0, 0, time.UTC)
	set, found := sky.NextSet(coldHarbourField(), ephem.MoonBody(), ephem.DefaultAir(), 0, from, 48*time.Hour)
	fmt.Println(set.Format("2006-01-02 15:04"), found)
	// Output: 2027-04-15 03:22 true
}
