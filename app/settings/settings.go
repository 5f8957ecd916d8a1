// Package settings is what the operator has set: the station, the dish, its
// axes and limits, the link, the limits of the readings. It is kept in one
// commented TOML file, which is read strictly and written whole.
//
// Every figure is a plain number in the unit that its name carries, the same
// in the file and here: a field LatitudeDeg is the key latitude_deg, in
// degrees. Azimuths are from north through east; an axis azimuth runs over the
// cable wrap and isn't folded to a circle. What is learned or found while
// operating (reference, trims) isn't here: see settings/kept.
package settings

// Version is the version of the file that this program reads and writes.
const Version = 1

// The most that the guards and the mount hold.
const (
	MaxStructures    = 16
	MaxClosedSectors = 16
	MaxBands         = 16
	MaxFeeds         = 8
	MaxHorizonPoints = 720
	MaxFixedSpeeds   = 8
)

// Settings is all that the operator sets. Fields says for each key its unit,
// range, usual value and purpose.
type Settings struct {
	Version       int               `toml:"version"`
	Station       Station           `toml:"station"`
	Dish          Dish              `toml:"dish"`
	Bands         []Band            `toml:"bands"`
	Link          Link              `toml:"link"`
	Axes          Axes              `toml:"axes"`
	Motion        Motion            `toml:"motion"`
	Tracking      Tracking          `toml:"tracking"`
	Structures    []Structure       `toml:"structures"`
	Horizon       Horizon           `toml:"horizon"`
	ClosedSectors []ClosedSector    `toml:"closed_sectors"`
	Permit        Permit            `toml:"permit"`
	Park          Place             `toml:"park"`
	WindStow      Place             `toml:"wind_stow"`
	SnowStow      Place             `toml:"snow_stow"`
	Wind          Wind              `toml:"wind"`
	Sun           Sun               `toml:"sun"`
	Air           Air               `toml:"air"`
	Clock         Clock             `toml:"clock"`
	Periods       Periods           `toml:"periods"`
	Meter         Meter             `toml:"meter"`
	Radio         Radio             `toml:"radio"`
	Keying        Keying            `toml:"keying"`
	Audio         Audio             `toml:"audio"`
	Sound         Sound             `toml:"sound"`
	Camera        Camera            `toml:"camera"`
	Publish       Publish           `toml:"publish"`
	Readings      map[string]Limits `toml:"readings"` // by the keys of Readings
}

// Station is where the dish stands: WGS 84, north and east positive.
type Station struct {
	Name         string  `toml:"name"`
	CallSign     string  `toml:"call_sign"` // empty: none
	LatitudeDeg  float64 `toml:"latitude_deg"`
	LongitudeDeg float64 `toml:"longitude_deg"`
	HeightM      float64 `toml:"height_m"`
}

// Finish of the reflector.
type Finish string

// The finishes. Only a bare dish brings the Sun to a focus.
const (
	Mesh  Finish = "mesh"
	Matte Finish = "matte"
	Bare  Finish = "bare"
)

// Dish is the reflector.
type Dish struct {
	DiameterM      float64 `toml:"diameter_m"`
	Finish         Finish  `toml:"finish"`
	EdgeTaperDB    float64 `toml:"edge_taper_db"`
	Efficiency     float64 `toml:"efficiency"`
	SurfaceErrorMM float64 `toml:"surface_error_mm"` // root mean square
}

// Band is a band with its feeds; the first feed is the usual one.
type Band struct {
	Name                string  `toml:"name"`
	MHz                 float64 `toml:"mhz"`
	LinkBand            int     `toml:"link_band"` // number on the link, 0 to 15
	ReceiverTemperature float64 `toml:"receiver_temperature_k"`
	ReceiverLossDB      float64 `toml:"receiver_loss_db"` // before the preamplifier
	TransmitPowerW      float64 `toml:"transmit_power_w"`
	// TransverterMHz is the band's frequency minus the radio's dial; OscillatorErrorHz what the true frequency
	// is above their sum.
	TransverterMHz    float64 `toml:"transverter_offset_mhz"`
	OscillatorErrorHz float64 `toml:"oscillator_error_hz"`
	Feeds             []Feed  `toml:"feeds"`
}

// Polarisation of a feed, receiving.
type Polarisation string

const (
	Horizontal    Polarisation = "horizontal"
	Vertical      Polarisation = "vertical"
	LeftCircular  Polarisation = "left circular"
	RightCircular Polarisation = "right circular"
)

// Feed is a feed with its squint: where its beam looks from the boresight, true angle on the sky.
type Feed struct {
	Name                 string       `toml:"name"`
	SquintCrossElDeg     float64      `toml:"squint_cross_elevation_deg"` // + clockwise
	SquintElDeg          float64      `toml:"squint_elevation_deg"`       // + up
	BeamwidthDeg         float64      `toml:"beamwidth_deg"`              // half power, full angle; 0: worked out
	Polarisation         Polarisation `toml:"polarisation"`
	TurnDeg              float64      `toml:"rotation_deg"` // feed turn wanted
	DetectorSlopeMVPerDB float64      `toml:"detector_slope_mv_per_db"`
	DetectorOffsetDB     float64      `toml:"detector_offset_db"`
	// NoiseSourceK is what the noise source adds at the feed, kelvin; 0: not known.
	NoiseSourceK float64 `toml:"excess_noise_temperature_k"`
	// DetectorTableMV and DetectorTableDB are a measured table in place of the slope; as many of each, rising mV.
	DetectorTableMV []float64 `toml:"detector_table_mv"`
	DetectorTableDB []float64 `toml:"detector_table_db"`
}

// Parity of the serial line.
type Parity string

const (
	Even     Parity = "even"
	Odd      Parity = "odd"
	NoParity Parity = "none"
)

// Link is the serial line to the enclosure.
type Link struct {
	Port          string `toml:"port"` // empty: none is opened
	Baud          int    `toml:"baud"`
	Parity        Parity `toml:"parity"`
	StopBits      int    `toml:"stop_bits"`
	Unit          int    `toml:"unit"`
	TicksPerS     int    `toml:"ticks_per_s"` // 0: by the baud rate; see Ticks
	WatchdogMS    int    `toml:"watchdog_ms"`
	LostIdleMS    int    `toml:"lost_idle_ms"`
	LostPoweredMS int    `toml:"lost_powered_ms"`
}

// Ticks is how many exchanges a second are used: as set, or by the baud rate
// 5 below 19200, 10 below 57600, else 20.
func (l Link) Ticks() int {
	switch {
	case l.TicksPerS != 0:
		return l.TicksPerS
	case l.Baud < 19200:
		return 5
	case l.Baud < 57600:
		return 10
	}
	return 20
}

// Motion are the rules of motion that belong to no axis.
type Motion struct {
	PowerOffAfterMin float64 `toml:"power_off_after_min"` // at rest; 0: never
	MotionWarningS   float64 `toml:"motion_warning_s"`
	WindowSilentS    float64 `toml:"window_silent_s"`
	LoopLateMS       int     `toml:"loop_late_ms"`
}

// Tracking says how closely a target is followed. Tolerances are in half-power beamwidths.
type Tracking struct {
	ToleranceBeamwidths   float64 `toml:"tolerance_beamwidths"`
	OnlyInOurPeriods      bool    `toml:"only_in_transmit_periods"`
	SecondLimitBeamwidths float64 `toml:"outer_tolerance_beamwidths"`
	MinElevationDeg       float64 `toml:"min_elevation_deg"`
	OffSourceBeamwidths   float64 `toml:"off_source_beamwidths"`
}

// Structure is something the dish must stay above, azimuths clockwise from FromDeg to ToDeg.
type Structure struct {
	Name            string  `toml:"name"`
	FromDeg         float64 `toml:"from_deg"`
	ToDeg           float64 `toml:"to_deg"`
	MinElevationDeg float64 `toml:"min_elevation_deg"`
}

// Horizon is the surveyed horizon: points joined by straight lines, around the circle. Empty: flat.
type Horizon struct {
	Points []Point `toml:"points"`
}

// Point is a point of the horizon.
type Point struct{ AzDeg, ElDeg float64 }

// ClosedSector is a part of the sky into which nothing is transmitted, azimuths clockwise.
type ClosedSector struct {
	Name             string   `toml:"name"`
	FromDeg          float64  `toml:"from_deg"`
	ToDeg            float64  `toml:"to_deg"`
	FromElevationDeg float64  `toml:"from_elevation_deg"`
	ToElevationDeg   float64  `toml:"to_elevation_deg"`
	Bands            []string `toml:"bands"` // names; empty: all
}

// Permit are the conditions of the transmit permit.
type Permit struct {
	MinElevationDeg     float64 `toml:"min_elevation_deg"`
	OffTargetBeamwidths float64 `toml:"off_target_beamwidths"` // 0: not judged
	WhileSlewing        bool    `toml:"while_slewing"`
	PreamplifierRelay   bool    `toml:"preamplifier_relay"`
	Coolant             bool    `toml:"coolant"`
	MaxSWR              float64 `toml:"max_swr"` // 0: not judged
	NearSun             bool    `toml:"near_sun"`
}

// Place is a place to go to, as axis angles.
type Place struct {
	AzimuthDeg   float64 `toml:"azimuth_deg"`
	ElevationDeg float64 `toml:"elevation_deg"`
}

// Wind is the wind rule: when the dish goes to its wind stow.
type Wind struct {
	Stow          bool    `toml:"stow"`
	WarningMPS    float64 `toml:"warning_mps"`
	StowMeanMPS   float64 `toml:"stow_mean_mps"`
	StowGustMPS   float64 `toml:"stow_gust_mps"`
	HysteresisMPS float64 `toml:"hysteresis_mps"`
	ClearAfterMin float64 `toml:"clear_after_min"`
	CountdownS    float64 `toml:"countdown_s"`
}

// Sun is the rule for a bare dish and the Sun.
type Sun struct {
	KeepAwayDeg float64 `toml:"min_separation_deg"` // 0: no rule
}

// Air is the air at the antenna, for refraction.
type Air struct {
	PressureHPa     float64 `toml:"pressure_hpa"` // at the station, not reduced to sea level
	TemperatureC    float64 `toml:"temperature_c"`
	HumidityPercent float64 `toml:"humidity_percent"`
}

// Clock corrects the time.
type Clock struct {
	UT1MinusUTCS          float64 `toml:"ut1_minus_utc_s"`
	WarnOffS              float64 `toml:"offset_warning_s"`
	TimeSource            string  `toml:"time_source"` // an NTP server, "host" or "host:port"; empty: none is asked
	TimeSourceIntervalMin float64 `toml:"time_source_interval_min"`
}

// Period is which period of a timed contact this station transmits in.
type Period string

const (
	First  Period = "first"
	Second Period = "second"
)

// Periods are those of a timed contact.
type Periods struct {
	LengthS float64 `toml:"length_s"`
	Ours    Period  `toml:"transmit"`
}

// Meter is how the noise detector is read.
type Meter struct {
	AverageS     float64 `toml:"average_s"`
	AfterKeyedMS int     `toml:"after_keyed_ms"`
	LimitMV      float64 `toml:"overload_mv"` // 0: none is known
	// Source is what measures; the rest is of a meter that isn't the enclosure's detector.
	Source     MeterSource `toml:"source"`
	Port       string      `toml:"port"` // a serial port or host:port; a program that records, as long as no audio input is chosen
	Baud       int         `toml:"baud"`
	Query      string      `toml:"query"`
	IntervalMS int         `toml:"interval_ms"`
	Linear     bool        `toml:"linear"`
	LowHz      float64     `toml:"low_hz"`
	HighHz     float64     `toml:"high_hz"`
	SampleHz   int         `toml:"sample_hz"`
}

// MeterSource is what measures the noise.
type MeterSource string

const (
	FromEnclosure  MeterSource = "enclosure"
	FromLines      MeterSource = "lines"
	FromInstrument MeterSource = "instrument"
	FromAudio      MeterSource = "audio"
)

// Audio is the receiver's audio.
type Audio struct {
	Input    string   `toml:"input"` // ID or name of the sound system's device; empty: none
	PitchHz  float64  `toml:"pitch_hz"`
	Sideband Sideband `toml:"sideband"`
}

// Sideband is which way the receiver turns radio frequency into audio.
type Sideband string

// The sidebands: with the lower one, audio falls as the radio frequency rises.
const (
	UpperSideband Sideband = "upper"
	LowerSideband Sideband = "lower"
)

// Sound is what the computer lets hear.
type Sound struct {
	Alarms bool   `toml:"alarms"`
	Player string `toml:"player"`
}

// Camera is a camera at the dish; none where URL is empty.
type Camera struct {
	URL          string  `toml:"url"`
	IntervalS    float64 `toml:"interval_s"`
	User         string  `toml:"user"`
	PasswordFile string  `toml:"password_file"`
}

// Publish is what other programs may read. Its zero publishes nothing; the
// package publish says what the fields may be together.
type Publish struct {
	MetricsPort  int    `toml:"metrics_port"`
	MetricsHost  string `toml:"metrics_host"`
	Broker       string `toml:"broker"`
	CAFile       string `toml:"ca_file"`
	User         string `toml:"user"`
	PasswordFile string `toml:"password_file"`
	Topic        string `toml:"topic"`
}

// Optional is a figure that need not be given.
type Optional struct {
	Value float64
	Given bool
}

// Some is a given figure.
func Some(v float64) Optional { return Optional{v, true} }

// Or is the figure, or another where none is given.
func (o Optional) Or(otherwise float64) float64 {
	if o.Given {
		return o.Value
	}
	return otherwise
}

// Limits are the four limits of a reading, in its unit. A limit not given isn't judged.
type Limits struct {
	AlarmLow    Optional `toml:"alarm_low"`
	WarningLow  Optional `toml:"warning_low"`
	WarningHigh Optional `toml:"warning_high"`
	AlarmHigh   Optional `toml:"alarm_high"`
	Hysteresis  float64  `toml:"hysteresis"`
	HoldS       float64  `toml:"hold_s"` // how long it must be crossed before it counts
}
