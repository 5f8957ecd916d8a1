//go:build window

package endtoend

import (
	"fmt"
	"strings"
	"time"
)

// trust gives the panel the angles at which the dish stands, as an operator
// would who has read them at the dish.
func (p *panel) trust(e *enclosure) {
	p.t.Helper()
	line := e.now()
	p.click("reference-button")
	for name, angle := range map[string]float64{"reference-az-entry": line.axes[0],
		"reference-el-entry": line.axes[1]} {
		p.fill(name, fmt.Sprintf("%.3f", angle))
	}
	p.click("reference-confirm")
	p.click("position-set")
	p.await(5*time.Second, "a referenced position", func(l layout) bool {
		words := strings.ToLower(l.Controls["reference-state"].Words)
		return strings.Contains(words, "referenced") && !strings.Contains(words, "not referenced")
	})
	p.clickUntil("reference-close", "no sheet", func(l layout) bool { return !visible("reference-dialog")(l) })
}
