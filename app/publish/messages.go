package publish

import (
	"encoding/json"
	"math"
	"strconv"
	"time"

	"beamhelm/app/desk"
	"beamhelm/app/journal"
)

// message is what is published under a topic, which begins after the base.
type message struct {
	topic   string
	payload string
	// kept is left at the broker for those that come later.
	kept bool
	// sure is sent again until the broker has confirmed it.
	sure bool
}

// figure is a number in JSON, null where there is none.
type figure float64

// MarshalJSON implements json.Marshaler.
func (f figure) MarshalJSON() ([]byte, error) {
	if v := float64(f); !math.IsNaN(v) && !math.IsInf(v, 0) {
		return strconv.AppendFloat(nil, math.Round(v*1e6)/1e6, 'f', -1, 64), nil
	}
	return []byte("null"), nil
}

// statusBody is the payload of status. Names carry units, as everywhere.
type statusBody struct {
	UTC              string       `json:"utc"`
	Practice         bool         `json:"practice"`
	Station          string       `json:"station"`
	Locator          string       `json:"locator"`
	Activity         string       `json:"activity"`
	Destination      string       `json:"destination"`
	Moving           bool         `json:"moving"`
	DrivePower       bool         `json:"drive_power"`
	LinkUp           bool         `json:"link_up"`
	LockedOut        bool         `json:"locked_out"`
	LockCause        string       `json:"lock_cause"`
	Working          bool         `json:"working_at_dish"`
	Permit           bool         `json:"permit"`
	Keyed            bool         `json:"keyed"`
	Band             string       `json:"band"`
	Target           targetStatus `json:"target"`
	AzimuthDeg       figure       `json:"azimuth_deg"`
	ElevationDeg     figure       `json:"elevation_deg"`
	PointingErrorDeg figure       `json:"pointing_error_deg"`
	WorstAlarm       string       `json:"worst_alarm"`
}

type targetStatus struct {
	Name         string `json:"name"`
	AzimuthDeg   figure `json:"azimuth_deg"`
	ElevationDeg figure `json:"elevation_deg"`
	Rise         string `json:"rise_utc"`
	Set          string `json:"set_utc"`
}

func statusMessage(s *desk.Status) message {
	value := func(key string) figure {
		series, known := journal.SeriesOf(key)
		if !known {
			panic("publish: no series " + key)
		}
		return figure(series.Value(s))
	}
	body := statusBody{
		UTC: utc(s.At), Practice: s.Practice, Station: s.Station.Name, Locator: s.Station.Locator,
		Activity: journal.ActivityWords(s.Activity), Destination: s.Destination.String(), Moving: s.Moving,
		DrivePower: s.Power == desk.PowerOn,
		LinkUp:     s.Link.State == desk.LinkGood, LockedOut: s.Lock.Locked, LockCause: s.Lock.Cause.String(),
		Working: s.Working,
		Permit:  s.Transmit.Permitted, Keyed: s.Transmit.Keyed, Band: s.Band.Name,
		Target: targetStatus{s.Target.Name, figure(s.Target.Az.Deg()), figure(s.Target.El.Deg()),
			utc(s.Target.Rise), utc(s.Target.Set)},
		AzimuthDeg: value("azimuth_position_deg"), ElevationDeg: value("elevation_position_deg"),
		PointingErrorDeg: value("pointing_error_deg"),
		WorstAlarm:       "normal",
	}
	for _, a := range s.Alarms {
		body.WorstAlarm = gradeWords(a.Grade) // they come worst first
		break
	}
	return message{topic: "status", payload: text(body), kept: true}
}

// utc is a moment by RFC 3339 with milliseconds, empty when there is none.
func utc(t time.Time) string {
	if t.IsZero() {
		return ""
	}
	return t.UTC().Format("2006-01-02T15:04:05.000Z07:00")
}

func text(body any) string {
	payload, err := json.Marshal(body)
	if err != nil {
		panic(err) // all of it is of kinds that JSON knows
	}
	return string(payload)
}

// readingMessages are all series as plain numbers, empty where there is none:
// an empty one is not kept by the broker.
func readingMessages(s *desk.Status) (all []message) {
	for _, series := range journal.AllSeries() {
		payload := ""
		if v := series.Value(s); !math.IsNaN(v) && !math.IsInf(v, 0) {
			payload = strconv.FormatFloat(v, 'f', series.Decimals, 64)
		}
		all = append(all, message{topic: "reading/" + series.Key, payload: payload, kept: true})
	}
	return all
}

func eventMessage(e desk.Event) message {
	return message{topic: "event", sure: true, payload: text(struct {
		Number uint64 `json:"number"`
		UTC    string `json:"utc"`
		Grade  string `json:"grade"`
		Words  string `json:"message"`
	}{e.Number, utc(e.At), gradeWords(e.Grade), e.Words.String()})}
}

type alarmBody struct {
	Number       int    `json:"number"`
	Since        string `json:"since_utc"`
	Grade        string `json:"grade"`
	Words        string `json:"message"`
	Next         string `json:"advice"`
	Acknowledged bool   `json:"acknowledged"`
	Stands       bool   `json:"active"`
}

func alarmsMessage(s *desk.Status) message {
	all := []alarmBody{}
	for _, a := range s.Alarms {
		all = append(
			all,
			alarmBody{a.Number, utc(a.Since), gradeWords(a.Grade), a.Words.String(), a.Next.String(),
				a.Acknowledged, a.Stands},
		)
	}
	return message{topic: "alarms", payload: text(all), kept: true, sure: true}
}
