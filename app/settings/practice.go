package settings

// Default are the usual values of everything that has one. What belongs to a
// particular station and dish is zero and must be given in a file.
func Default() Settings {
	axis := Axis{
		Fitted:               true,
		DriveDirection:       1,
		Encoder:              OnDishAxis,
		AccelerationDegPerS2: 0.5,
		JerkDegPerS3:         1,
		LagMS:                150,
		MinDrivePercent:      3,
		FixedSpeedsDegPerS:   []float64{},
		SwitchOverDeg:        []float64{},
		CoastDeg:             0.1,
		BacklashDeg:          0.1,
		Approach:             Either,
		JogPercent:           50,
		SlowJogPercent:       20,
	}
	return Settings{
		Version: Version,
		Dish:    Dish{EdgeTaperDB: 11, Efficiency: 0.55, SurfaceErrorMM: 1},
		Link: Link{Baud: 19200, Parity: Even, StopBits: 1, Unit: 1, WatchdogMS: 1000, LostIdleMS: 500,
			LostPoweredMS: 1000},
		Axes:     Axes{axis, axis},
		Motion:   Motion{PowerOffAfterMin: 10, MotionWarningS: 5, WindowSilentS: 3, LoopLateMS: 50},
		Tracking: Tracking{ToleranceBeamwidths: 0.065, SecondLimitBeamwidths: 0.15, OffSourceBeamwidths: 5},
		Permit: Permit{MinElevationDeg: 5, OffTargetBeamwidths: 0.5, PreamplifierRelay: true, Coolant: true,
			MaxSWR: 3},
		Wind: Wind{Stow: true, WarningMPS: 10, StowMeanMPS: 14, StowGustMPS: 20, HysteresisMPS: 2,
			ClearAfterMin: 10, CountdownS: 30},
		Air:     Air{PressureHPa: 1010, TemperatureC: 10, HumidityPercent: 50},
		Clock:   Clock{WarnOffS: 1, TimeSourceIntervalMin: 10},
		Periods: Periods{LengthS: 60, Ours: First},
		Radio:   Radio{Family: NoRadio, Baud: 19200, StopBits: 1, Address: 148},
		Keying:  Keying{Line: RTSKeys, LimitS: 3, LeadS: 0.3, BackS: 0.15, SoundS: 0.12},
		Audio:   Audio{PitchHz: 1500, Sideband: UpperSideband},
		Sound:   Sound{Alarms: true},
		Camera:  Camera{IntervalS: 5},
		Meter: Meter{AverageS: 1, AfterKeyedMS: 200, LimitMV: 1950, Source: FromEnclosure, Baud: 9600, IntervalMS: 200,
			LowHz: 300, HighHz: 2700, SampleHz: 48000},
		Readings: UsualReadings(),
	}
}

// defaultFeed is a feed of which only the name is known.
func defaultFeed() Feed {
	return Feed{Polarisation: LeftCircular, DetectorSlopeMVPerDB: 25, DetectorTableMV: []float64{},
		DetectorTableDB: []float64{}}
}

// defaultBand is a band of which only name and frequency are known.
func defaultBand() Band { return Band{ReceiverTemperature: 50, Feeds: nil} }

// SimulatedReceiver is the audio input of practice, SimulatedTransmitter what is keyed and takes the tone there.
const (
	SimulatedReceiver    = "Simulated receiver"
	SimulatedTransmitter = "Simulated transmitter"
)

// Practice is the invented station Cold Harbour Field with its simulated dish.
func Practice() Settings {
	s := Default()
	s.Station = Station{Name: "Cold Harbour Field", LatitudeDeg: 55.02, LongitudeDeg: -2.96, HeightM: 190}
	s.Dish.DiameterM, s.Dish.Finish = 5.6, Mesh
	s.Audio.Input = SimulatedReceiver
	s.Keying.Port, s.Keying.Output, s.Keying.SoundS = SimulatedTransmitter, SimulatedTransmitter, 0
	s.Keying.LeadS = 0.4 // the simulated sequencer takes 0.3
	s.Bands = []Band{
		practiceBand("1296 MHz", 1296, 0, 30, 400, 0, 0),
		practiceBand("5760 MHz", 5760, 1, 55, 60, 0.04, -0.02),
	}
	s.Bands[0].TransverterMHz, s.Bands[1].TransverterMHz = 1152, 5616
	practiceAxis(&s.Axes.Azimuth, -50, -45, 405, 410, 180)
	practiceAxis(&s.Axes.Elevation, -5, 0, 86, 91, 45)
	s.Tracking.ToleranceBeamwidths = 0.04 // closer than needed: there is more to see
	s.Structures = []Structure{{Name: "mast", FromDeg: 196, ToDeg: 212, MinElevationDeg: 24}}
	s.Horizon.Points = []Point{
		{0, 2.5}, {30, 2}, {60, 1}, {85, 0.5}, {110, 0.8}, {140, 1.5}, {170, 3}, {190, 4},
		{215, 3.5}, {240, 2}, {265, 0.6}, {290, 0.7}, {320, 1.8}, {345, 3},
	}
	s.Park = Place{AzimuthDeg: 180, ElevationDeg: 45}
	s.WindStow = Place{AzimuthDeg: 180, ElevationDeg: 85}
	s.SnowStow = Place{AzimuthDeg: 90, ElevationDeg: 5}
	s.Air = Air{PressureHPa: 990, TemperatureC: 8, HumidityPercent: 70}
	return s
}

func practiceBand(name string, mhz float64, number int, receiverK, powerW, squintCrossEl, squintEl float64) Band {
	band := defaultBand()
	band.Name, band.MHz, band.LinkBand, band.ReceiverTemperature, band.TransmitPowerW = name, mhz, number, receiverK,
		powerW
	feed := defaultFeed()
	feed.Name, feed.SquintCrossElDeg, feed.SquintElDeg = "horn", squintCrossEl, squintEl
	band.Feeds = []Feed{feed}
	return band
}

func practiceAxis(a *Axis, lowerEnd, lowerSoft, upperSoft, upperEnd, mark float64) {
	a.Pulses, a.GearRatio, a.Direction = 1024, 1, 1
	a.LowerEndDeg, a.LowerSoftDeg, a.UpperSoftDeg, a.UpperEndDeg = lowerEnd, lowerSoft, upperSoft, upperEnd
	a.TopSpeedDegPerS, a.BacklashDeg = 1.5, 0.15
	a.Mark, a.MarkAngleDeg = true, mark
	a.IdleCurrentA, a.RatedCurrentA, a.StallCurrentA, a.MaxStallTimeS = 0.3, 6, 12, 4
}
