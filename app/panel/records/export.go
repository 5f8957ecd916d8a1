package records

import (
	"bytes"
	"encoding/csv"
	"slices"
	"strconv"
	"time"

	"beamhelm/app/journal"
	"beamhelm/app/panel/save"
	"beamhelm/app/panel/widget"
	"beamhelm/app/view"
)

// table is what is drawn, as CSV (RFC 4180): a line for each moment that any
// reading has a point at, with mean, minimum and maximum of each.
func (a answer) table() ([]byte, error) {
	head := []string{"at_utc"}
	values := map[time.Time]map[int]journal.Point{}
	for i, trend := range a.trends {
		for _, part := range [...]string{"mean", "minimum", "maximum"} {
			head = append(head, a.readings[i].Key+"_"+part)
		}
		for _, p := range trend.Points {
			if values[p.At] == nil {
				values[p.At] = map[int]journal.Point{}
			}
			values[p.At][i] = p
		}
	}
	moments := make([]time.Time, 0, len(values))
	for at := range values {
		moments = append(moments, at)
	}
	slices.SortFunc(moments, time.Time.Compare)
	var out bytes.Buffer
	w := csv.NewWriter(&out)
	w.UseCRLF = true
	_ = w.Write(head) // a buffer takes everything
	for _, at := range moments {
		line := []string{at.UTC().Format(time.RFC3339)}
		for i := range a.trends {
			p, there := values[at][i]
			for _, v := range [...]float64{p.Mean, p.Min, p.Max} {
				text := ""
				if there {
					text = strconv.FormatFloat(v, 'g', -1, 64)
				}
				line = append(line, text)
			}
		}
		_ = w.Write(line)
	}
	w.Flush()
	return out.Bytes(), w.Error()
}

// openExport asks where to write what is drawn, and as what.
func (p *Pane) openExport() {
	a := p.answer
	if len(a.trends) == 0 {
		p.told.SetWords("There is nothing to export yet")
		return
	}
	file := "beamhelm-" + view.Name(a.readings[0].Key) + "-" + a.to.UTC().Format("2006-01-02-1504")
	save.Ask(p.with, "records", "What is drawn, in a file", file, []save.Form{
		{Words: "Table, CSV", Name: "records-csv", Tip: "What is drawn as a table, RFC 4180 (Enter)", Ending: ".csv",
			Body: a.table},
		save.PNG("records-png", widget.Picture(p.object)),
	}, p.told.SetWords)
}
