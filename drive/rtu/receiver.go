package rtu

// find is what the receiver has found.
type find uint8

const (
	nothing   find = iota
	reply          // a reply to the request, its CRC right
	exception      // an exception to it
)

// receiver finds the reply to a request in what comes in, wherever it begins:
// rubbish before it and frames of others are passed over.
type receiver struct {
	held [3 * MaxFrame]byte
	n    int
	// any says that there was input at all.
	any bool
}

func (r *receiver) reset() { r.n, r.any = 0, false }

// space is where the next input goes. It is never empty: what is too old to be
// part of a frame gives way.
func (r *receiver) space() []byte {
	if over := r.n - 2*MaxFrame; over > 0 {
		r.drop(over)
	}
	return r.held[r.n:]
}

func (r *receiver) put(n int) {
	r.n += n
	r.any = r.any || n > 0
}

func (r *receiver) drop(n int) {
	copy(r.held[:], r.held[n:r.n])
	r.n -= n
}

// next returns the next frame that answers the request and gives up all input
// up to its end. The frame is valid until the next call.
func (r *receiver) next(q *Request, frame *[MaxFrame]byte) (find, []byte) {
	undecided := -1 // where the first frame may begin that is not complete yet
	for i := range r.n {
		rest := r.held[i:r.n]
		what, length := nothing, 0
		switch {
		case q.begins(rest):
			what, length = reply, q.ReplyLength()
		case q.excepts(rest):
			what, length = exception, exceptionLength
		default:
			continue
		}
		if len(rest) < length {
			if undecided < 0 {
				undecided = i
			}
		} else if CRCValid(rest[:length]) {
			n := copy(frame[:], rest[:length])
			r.drop(i + length)
			return what, frame[:n]
		}
	}
	if undecided < 0 {
		undecided = r.n
	}
	r.drop(undecided)
	return nothing, nil
}
