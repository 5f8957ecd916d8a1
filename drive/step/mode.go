package step

// Mode is what the loop does with the axes. Only State.enter changes it, and
// only as successors says.
type Mode uint8

// The modes. What may follow each is said in its comment and in successors.
const (
	// Idle: drive power off or not yet on, no command to the axes. Then
	// Holding when power is on, or a start (Warning, Jogging, Slewing, Following), or LockedOut.
	Idle Mode = iota
	// Halting: coming to rest by the slope. Then Holding, or a start that needs no
	// warning (Jogging, Slewing, Following), or Idle without power, or LockedOut.
	Halting
	// Holding: at rest at the setpoint, or going to it after a small change of
	// it. Then a start (Warning, Jogging, Slewing, Following), Idle without power, or LockedOut.
	Holding
	// Jogging: by hand. Then Halting, or Slewing, Following, Idle without power, or LockedOut.
	Jogging
	// Slewing: on the way to a fixed place. Then Holding there, or Halting,
	// Jogging, Following, Idle without power, or LockedOut.
	Slewing
	// Following: following the course. Then Halting, Jogging, Slewing, Idle without power, or LockedOut.
	Following
	// Warning: the motion warning announces a start. Then that start (Jogging,
	// Slewing, Following), or Halting where it is cancelled, Idle without power, or LockedOut.
	Warning
	// LockedOut: stopped by a trip or by Stop. Then Idle, by Release alone.
	LockedOut

	modeCount
)

// modes is a set of modes.
type modes uint16

func anyOf(list ...Mode) (set modes) {
	for _, m := range list {
		set |= 1 << m
	}
	return set
}

// successors is the one place that says which mode may follow which.
var successors = [modeCount]modes{
	Idle:      anyOf(Holding, Warning, Jogging, Slewing, Following, LockedOut),
	Halting:   anyOf(Holding, Jogging, Slewing, Following, Idle, LockedOut),
	Holding:   anyOf(Warning, Jogging, Slewing, Following, Idle, LockedOut),
	Jogging:   anyOf(Halting, Slewing, Following, Idle, LockedOut),
	Slewing:   anyOf(Holding, Halting, Jogging, Following, Idle, LockedOut),
	Following: anyOf(Halting, Jogging, Slewing, Idle, LockedOut),
	Warning:   anyOf(Jogging, Slewing, Following, Halting, Idle, LockedOut),
	LockedOut: anyOf(Idle),
}

func (m Mode) mayBecome(next Mode) bool { return m < modeCount && successors[m]&(1<<next) != 0 }

var modeWords = [...]string{"idle", "stopping", "holding", "jogging", "slewing", "following", "motion warning",
	"locked out"}

// String gives the mode in words.
func (m Mode) String() string {
	if int(m) < len(modeWords) {
		return modeWords[m]
	}
	return "unknown mode"
}
