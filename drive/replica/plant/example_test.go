package plant_test

import (
	"fmt"
	"time"

	"github.com/soniakeys/unit"

	"beamhelm/drive/replica/plant"
)

// A dish at rest, driven for ten seconds with a fault in one axis.
func Example() {
	c := plant.Default()
	c.Wind.MeanMPS = 0
	c.Axes[0].Place, c.Axes[1].Place = unit.AngleFromDeg(180), unit.AngleFromDeg(45)
	dish, err := plant.New(c)
	if err != nil {
		fmt.Println(err)
		return
	}
	fault, what, err := plant.Named("el-jammed")
	if err == nil {
		err = dish.Put(fault)
	}
	if err != nil {
		fmt.Println(err)
		return
	}
	for range 2000 {
		dish.Step(plant.Input{Elapsed: 5 * time.Millisecond, Contactor: true, Applied: [2]float64{0.5, 0.5}})
	}
	truth := dish.Truth()
	fmt.Println(what.Words)
	fmt.Printf("azimuth %.0f, elevation %.0f degrees\n", truth.Axis[0].Deg(), truth.Axis[1].Deg())
	// Output:
	// the axis turns only within the backlash
	// azimuth 186, elevation 45 degrees
}
