package wear

import (
	"cmp"
	"maps"
	"math"
	"slices"
	"time"

	"beamhelm/app/message"
)

// Circumstances are what a figure of a kind depends on.
type Circumstances struct {
	Kind int
	// Of names the axis, or the band and feed; empty for the whole dish.
	Of string
	// In says the rest in words that stay the same: "driven up fast, 0 to 10 °C".
	In string
}

// key is the circumstances in what is kept.
func (c Circumstances) key() string { return kinds[c.Kind].Name + "; " + c.Of + "; " + c.In }

// Entry is a past with its circumstances.
type Entry struct {
	Circumstances
	Past
}

// maxEntries bounds what is kept: the least used of the oldest go.
const maxEntries = 600

// sum is a block that is being made.
type sum struct {
	total float64
	n     int
	from  time.Time
}

// staleAfter is how long a block may take: what began in other weather is no mean of now.
const staleAfter = 30 * time.Minute

// Watch keeps the pasts of a dish. Its zero is ready.
type Watch struct {
	pasts map[string]Entry
	sums  map[string]sum
	// Changed counts changes, for whoever keeps them.
	Changed uint64
	// What stands, as it was found at that change.
	found   []Trouble
	foundAt uint64
}

// FromEntries is a watch that goes on from what was kept; what can't be used is left out.
func FromEntries(all []Entry) Watch {
	w := Watch{}
	for _, e := range all {
		usable := e.Kind >= 0 && e.Kind < len(kinds) && e.N >= 0 && !math.IsNaN(e.Mean) && !math.IsInf(e.Mean, 0) &&
			e.Square >= 0 && !math.IsInf(e.Square, 0)
		if usable && len(w.pasts) < maxEntries {
			w.set(e)
		}
	}
	return w
}

func (w *Watch) set(e Entry) {
	if w.pasts == nil {
		w.pasts, w.sums = map[string]Entry{}, map[string]sum{}
	}
	w.pasts[e.key()] = e
}

// Entries are all pasts, in an order that stays the same.
func (w *Watch) Entries() []Entry {
	keys := slices.Sorted(maps.Keys(w.pasts))
	all := make([]Entry, len(keys))
	for i, k := range keys {
		all[i] = w.pasts[k]
	}
	return all
}

// Past is what is known of some circumstances.
func (w *Watch) Past(c Circumstances) Past { return w.pasts[c.key()].Past }

// Sample takes one value in. A block that is complete is judged at once.
func (w *Watch) Sample(c Circumstances, value float64, at time.Time) {
	if math.IsNaN(value) || math.IsInf(value, 0) {
		return
	}
	key := c.key()
	if _, there := w.pasts[key]; !there {
		w.makeRoom()
		w.set(Entry{Circumstances: c})
	}
	s := w.sums[key]
	if s.n == 0 || at.Sub(s.from) > staleAfter || at.Before(s.from) {
		s = sum{from: at}
	}
	s.total, s.n = s.total+value, s.n+1
	if k := &kinds[c.Kind]; s.n >= k.Samples {
		e := w.pasts[key]
		e.Past = e.Take(k, Block{s.total / float64(s.n), s.from, at})
		w.pasts[key] = e
		w.Changed++
		s = sum{}
	}
	w.sums[key] = s
}

// makeRoom lets go of the past that has been used least lately, where there are too many.
func (w *Watch) makeRoom() {
	if len(w.pasts) < maxEntries {
		return
	}
	oldest := slices.MinFunc(w.Entries(), func(a, b Entry) int {
		return cmp.Or(a.Now.To.Compare(b.Now.To), cmp.Compare(a.N, b.N))
	})
	delete(w.pasts, oldest.key())
	delete(w.sums, oldest.key())
}

// Forget forgets what is usual of a kind, all circumstances: something was mended or changed.
func (w *Watch) Forget(kind int, of string) {
	for k, e := range w.pasts {
		if e.Kind == kind && e.Of == of {
			delete(w.pasts, k)
			delete(w.sums, k)
			w.Changed++
		}
	}
}

// Trouble is something that has long been out of what is usual.
type Trouble struct {
	Entry
	// Others is in how many other circumstances it is so too.
	Others int
}

// Key tells troubles apart, whatever the circumstances.
func (t Trouble) Key() string { return "slow " + kinds[t.Kind].Name + " " + t.Of }

// What is that which is out of what is usual.
func (e Entry) What() message.Message {
	if e.Of == "" {
		return message.Of(kinds[e.Kind].Words)
	}
	return message.Of("wear.of", e.Of, message.Of(kinds[e.Kind].Words))
}

// seen says what was seen and when, against what: what is compared may be off by now.
func (e Entry) seen() message.Message {
	k := &kinds[e.Kind]
	figure := func(v float64) message.Figure { return message.Figure{Value: v, Decimals: k.Decimals, Unit: k.Unit} }
	if e.In != "" {
		return message.Of("wear.trouble-in", e.What(), figure(e.Now.Mean), e.Now.To, e.In, figure(e.Mean))
	}
	return message.Of("wear.trouble", e.What(), figure(e.Now.Mean), e.Now.To, figure(e.Mean))
}

// Words say what was seen, against what, or how far the baseline is learned.
func (e Entry) Words() message.Message {
	if !e.Known() {
		return message.Of("wear.learning", e.seen(), int(e.N), known)
	}
	return message.Of("wear.unusual", e.seen())
}

// Words say what was seen, against what.
func (t Trouble) Words() message.Message {
	words := t.seen()
	if t.Others > 0 {
		words = message.Of("wear.more", words, t.Others)
	}
	return words
}

// Troubles are what stands, the worst circumstances of each thing. The list is not to be changed.
func (w *Watch) Troubles() []Trouble {
	if w.foundAt != w.Changed+1 {
		w.found, w.foundAt = w.find(), w.Changed+1
	}
	return w.found
}

func (w *Watch) find() []Trouble {
	var out []Trouble
	for _, e := range w.Entries() {
		k := &kinds[e.Kind]
		if !e.Stands(k) {
			continue
		}
		at := slices.IndexFunc(out, func(t Trouble) bool { return t.Kind == e.Kind && t.Of == e.Of })
		if at < 0 {
			out = append(out, Trouble{Entry: e})
			continue
		}
		out[at].Others++
		since := out[at].Since
		if e.Since.Before(since) {
			since = e.Since
		}
		if howFar(e) > howFar(out[at].Entry) {
			out[at].Entry = e
		}
		out[at].Since = since
	}
	return out
}

// howFar is how far out of the usual the newest block is, in parts of what is allowed.
func howFar(e Entry) float64 {
	allowed := e.Allowed(&kinds[e.Kind])
	if !(allowed > 0) {
		return math.Inf(1)
	}
	return math.Abs(e.Now.Mean-e.Mean) / allowed
}
