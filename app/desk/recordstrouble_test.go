package desk

import (
	"math"
	"testing"
	"time"

	"beamhelm/app/desk/watching"
)

// What troubles the records is one sentence: that nothing is recorded stands in
// it once, and is not said of a damaged file in whose place a new one is kept.
func TestRecordsTrouble(t *testing.T) {
	for trouble, want := range map[string]string{
		"nothing is recorded: the disk is full": "Nothing is recorded: the disk is full",
		"the records were damaged and are set aside as old.db; new ones are kept": "The records were damaged and are " +
			"set aside as old.db; new ones are kept",
	} {
		b := newBench(t)
		b.at, b.now = b.at.Add(time.Second), b.now+time.Second
		b.loop.Now = b.now
		out := Step(&b.c, &b.s, &Inputs{At: b.at, Now: b.now, Loop: &b.loop, NoiseDB: math.NaN(),
			Around: watching.Around{RecordsTrouble: trouble}})
		found := false
		for _, a := range out.Status.Alarms {
			found = found || a.Words.String() == want && a.Grade == Warning
		}
		if !found {
			t.Errorf("%s: alarms %+v", trouble, out.Status.Alarms)
		}
	}
}
