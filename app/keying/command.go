package keying

// Command is the subcommand by which the program starts the process that owns a line.
const Command = "keying-line"

// The lines of a serial port that can key, as the subcommand names them.
const (
	RTS = "rts"
	DTR = "dtr"
)
