package rtu

import (
	"errors"
	"fmt"
)

// Why an exchange had no accepted reply.
var (
	// ErrSilent: nothing came by the deadline.
	ErrSilent = errors.New("no reply by the deadline")
	// ErrDamaged: something came, but no frame whose CRC was right.
	ErrDamaged = errors.New("the reply was damaged")
	// ErrLate: the request was not sent, because its time had gone by.
	ErrLate = errors.New("too late to be sent")
	// ErrStale: only replies to older requests came.
	ErrStale = errors.New("only replies to older requests came")
)

// Exception is the code with which a slave refuses a request.
type Exception byte

// The exceptions of a slave with registers.
const (
	IllegalFunction    Exception = 1
	IllegalDataAddress Exception = 2
	IllegalDataValue   Exception = 3
)

func (e Exception) Error() string {
	switch e {
	case IllegalFunction:
		return "refused: exception 01, the function is not supported"
	case IllegalDataAddress:
		return "refused: exception 02, a register is outside the map or may not be written"
	case IllegalDataValue:
		return "refused: exception 03, a quantity or a value is out of range"
	}
	return fmt.Sprintf("refused: exception %02d", byte(e))
}
