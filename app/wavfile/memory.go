package wavfile

import (
	"fmt"
	"io"
)

// Bytes is a recording as a whole WAV file, as Write writes it.
func Bytes(a Audio, comment string) ([]byte, error) {
	var m memory
	if err := Write(&m, a, comment); err != nil {
		return nil, err
	}
	return m.all, nil
}

// memory is a file in memory.
type memory struct {
	all []byte
	at  int64
}

// Write implements io.Writer.
func (m *memory) Write(p []byte) (int, error) {
	if need := m.at + int64(len(p)); need > int64(len(m.all)) {
		m.all = append(m.all, make([]byte, need-int64(len(m.all)))...)
	}
	m.at += int64(copy(m.all[m.at:], p))
	return len(p), nil
}

// Seek implements io.Seeker.
func (m *memory) Seek(offset int64, whence int) (int64, error) {
	switch whence {
	case io.SeekCurrent:
		offset += m.at
	case io.SeekEnd:
		offset += int64(len(m.all))
	}
	if offset < 0 || offset > int64(len(m.all)) {
		return m.at, fmt.Errorf("seek to %d of %d", offset, len(m.all))
	}
	m.at = offset
	return m.at, nil
}
