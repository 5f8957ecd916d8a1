package publish

import (
	"context"
	"errors"
	"fmt"
	"math"
	"net"
	"net/http"
	"strings"
	"sync"
	"time"

	"github.com/prometheus/client_golang/prometheus"
	"github.com/prometheus/client_golang/prometheus/promhttp"

	"beamhelm/app/desk"
	"beamhelm/app/journal"
	"beamhelm/ending"
)

// serve answers requests for metrics until the context ends.
func (p *Publisher) serve(ctx context.Context) error {
	ending.Here("publishing figures")
	listener, err := net.Listen("tcp", p.config.address())
	if err != nil {
		return err
	}
	listener = newFew(listener)
	server := &http.Server{
		Handler:           p.handler(),
		ReadHeaderTimeout: 5 * time.Second, ReadTimeout: 5 * time.Second, WriteTimeout: 10 * time.Second,
		IdleTimeout:    idleFor,
		MaxHeaderBytes: 16 << 10,
	}
	defer server.Close()
	stop := context.AfterFunc(ctx, func() { server.Close() })
	defer stop()
	p.troubled(metricsWay, nil)
	if err := server.Serve(listener); !errors.Is(err, http.ErrServerClosed) {
		return err
	}
	return nil
}

// maxConnections are open at the same time; others wait until one is idle for long enough to be closed.
const (
	maxConnections = 16
	idleFor        = 10 * time.Second
)

// few is a listener that takes no more connections than there is room for.
type few struct {
	net.Listener
	room   chan struct{}
	closed context.Context
	end    context.CancelFunc
}

func newFew(listener net.Listener) *few {
	closed, end := context.WithCancel(context.Background())
	return &few{listener, make(chan struct{}, maxConnections), closed, end}
}

// Close implements net.Listener. Whoever waits for room in Accept comes back.
func (f *few) Close() error {
	f.end()
	return f.Listener.Close()
}

// Accept implements net.Listener.
func (f *few) Accept() (net.Conn, error) {
	select {
	case f.room <- struct{}{}:
	case <-f.closed.Done():
		return nil, net.ErrClosed
	}
	connection, err := f.Listener.Accept()
	if err != nil {
		<-f.room
		return nil, err
	}
	return &counted{Conn: connection, leave: sync.OnceFunc(func() { <-f.room })}, nil
}

// counted makes room when it is closed.
type counted struct {
	net.Conn
	leave func()
}

// Close implements net.Conn.
func (c *counted) Close() error {
	defer c.leave()
	return c.Conn.Close()
}

// handler answers GET /metrics and nothing else.
func (p *Publisher) handler() http.Handler {
	registry := prometheus.NewPedanticRegistry()
	registry.MustRegister(newCollector(p.desk, p.config.Version))
	metrics := promhttp.HandlerFor(registry, promhttp.HandlerOpts{EnableOpenMetrics: true, MaxRequestsInFlight: 4,
		Timeout: 5 * time.Second})
	mux := http.NewServeMux()
	mux.Handle("GET /metrics", metrics)
	return mux
}

// collector makes metrics of a desk's newest status.
type collector struct {
	desk    Desk
	version string
	series  []journal.Series
	of      []*prometheus.Desc // of the series
	states  []state
	info    *prometheus.Desc
	doing   *prometheus.Desc
	alarms  *prometheus.Desc
	events  *prometheus.Desc
}

// state is a metric that is no series of the records.
type state struct {
	of    *prometheus.Desc
	value func(*desk.Status) float64
}

func newCollector(d Desk, version string) *collector {
	c := &collector{
		desk: d, version: version, series: journal.AllSeries(),
		info: describe("info", "The program and the station; always 1.", "version", "station", "locator"),
		doing: describe("activity", "What the dish does: 1 for the activity that it is, 0 for the others.",
			"activity"),
		alarms: describe("alarms", "Alarms that are active or unacknowledged.", "grade"),
		events: describe("events_total", "Events since the program was started."),
	}
	for _, s := range c.series {
		c.of = append(c.of, describe(s.Key, strings.TrimSpace(s.Name+" "+bracketed(s.Unit))+"."))
	}
	for _, s := range []struct {
		name, words string
		value       func(*desk.Status) float64
	}{
		{"practice", "1 for the simulated dish.", func(s *desk.Status) float64 { return one(s.Practice) }},
		{"status_utc_seconds", "Time of the sky at which all this was so, since 1970-01-01.",
			func(s *desk.Status) float64 { return float64(s.At.UnixMilli()) / 1000 }},
		{"link_up", "1 while the enclosure answers.",
			func(s *desk.Status) float64 { return one(s.Link.State == desk.LinkGood) }},
		{"drive_power", "1 while the drives have power.",
			func(s *desk.Status) float64 { return one(s.Power == desk.PowerOn) }},
		{"moving", "1 while an axis moves.", func(s *desk.Status) float64 { return one(s.Moving) }},
		{"locked_out", "1 from a trip or Stop to Release.", func(s *desk.Status) float64 { return one(s.Lock.Locked) }},
		{"working_at_dish", "1 while somebody works at the dish.",
			func(s *desk.Status) float64 { return one(s.Working) }},
		{"permit", "1 while the transmit permit is given.",
			func(s *desk.Status) float64 { return one(s.Transmit.Permitted) }},
		{"target_azimuth_deg", "Azimuth of the target, from north through east.",
			func(s *desk.Status) float64 { return s.Target.Az.Deg() }},
		{"target_elevation_deg", "Elevation of the target, with refraction.",
			func(s *desk.Status) float64 { return s.Target.El.Deg() }},
		{"tick_late_p99_ms", "Lateness of the loop's ticks that 1 in 100 exceeds.",
			func(s *desk.Status) float64 { return s.Lateness.P99 }},
	} {
		c.states = append(c.states, state{describe(s.name, s.words), s.value})
	}
	return c
}

func bracketed(unit string) string {
	if unit == "" {
		return ""
	}
	return "(" + unit + ")"
}

func describe(name, words string, labels ...string) *prometheus.Desc {
	return prometheus.NewDesc("beamhelm_"+name, words, labels, nil)
}

// Describe implements prometheus.Collector.
func (c *collector) Describe(to chan<- *prometheus.Desc) {
	for _, d := range append([]*prometheus.Desc{c.info, c.doing, c.alarms, c.events}, c.of...) {
		to <- d
	}
	for _, s := range c.states {
		to <- s.of
	}
}

// Collect implements prometheus.Collector. What isn't fitted, or isn't known now, is left out.
func (c *collector) Collect(to chan<- prometheus.Metric) {
	s := c.desk.Status()
	gauge := func(of *prometheus.Desc, v float64, labels ...string) {
		if !math.IsNaN(v) && !math.IsInf(v, 0) {
			to <- prometheus.MustNewConstMetric(of, prometheus.GaugeValue, v, labels...)
		}
	}
	gauge(c.info, 1, c.version, s.Station.Name, s.Station.Locator)
	for a := desk.Idle; a <= desk.LockedOut; a++ {
		gauge(c.doing, one(s.Activity == a), journal.ActivityWords(a))
	}
	counts := [desk.AlarmGrade + 1]int{}
	for _, a := range s.Alarms {
		counts[min(a.Grade, desk.AlarmGrade)]++
	}
	for g := desk.Notice; g <= desk.AlarmGrade; g++ {
		gauge(c.alarms, float64(counts[g]), gradeWords(g))
	}
	to <- prometheus.MustNewConstMetric(c.events, prometheus.CounterValue, float64(s.LastEvent))
	for i, series := range c.series {
		gauge(c.of[i], series.Value(s))
	}
	for _, state := range c.states {
		gauge(state.of, state.value(s))
	}
}

func gradeWords(g desk.Grade) string {
	words := [...]string{desk.Normal: "normal", desk.Notice: "notice", desk.Warning: "warning",
		desk.AlarmGrade: "alarm"}
	if int(g) < len(words) {
		return words[g]
	}
	return fmt.Sprintf("grade %d", g)
}

func one(b bool) float64 {
	if b {
		return 1
	}
	return 0
}
