package firmware

import (
	"bytes"
	"encoding/hex"
	"fmt"
)

// Records of an Intel HEX file (Intel Hexadecimal Object File Format
// Specification, revision A, 1988).
const (
	hexData = 0
	hexEnd  = 1
	// maxHex is the greatest image: a record's own address reaches no further.
	maxHex     = 1 << 16
	hexPerLine = 16
)

// parseHex returns what an Intel HEX file holds, from address 0 on; gaps read FF.
func parseHex(text []byte) ([]byte, error) {
	var code []byte
	for n, line := range bytes.Fields(text) {
		wrong := func(what string) error { return fmt.Errorf("line %d: %s", n+1, what) }
		if line[0] != ':' {
			return nil, wrong("it doesn't begin with a colon")
		}
		record, err := hex.DecodeString(string(line[1:]))
		if err != nil || len(record) < 5 || len(record) != 5+int(record[0]) {
			return nil, wrong("its length is wrong")
		}
		sum := byte(0)
		for _, b := range record {
			sum += b
		}
		if sum != 0 {
			return nil, wrong("its checksum is wrong")
		}
		switch record[3] {
		case hexEnd:
			return code, nil
		case hexData:
			at := int(record[1])<<8 | int(record[2])
			if at+int(record[0]) > maxHex {
				return nil, wrong("it lies beyond 64 KiB")
			}
			for len(code) < at+int(record[0]) {
				code = append(code, 0xFF)
			}
			copy(code[at:], record[4:4+record[0]])
		default:
			return nil, wrong(fmt.Sprintf("a record of kind %d", record[3]))
		}
	}
	return nil, fmt.Errorf("it has no end")
}

// formatHex is the Intel HEX file of an image of at most 64 KiB.
func formatHex(code []byte) []byte {
	var out bytes.Buffer
	record := func(kind byte, at int, data []byte) {
		line := append([]byte{byte(len(data)), byte(at >> 8), byte(at), kind}, data...)
		sum := byte(0)
		for _, b := range line {
			sum -= b
		}
		fmt.Fprintf(&out, ":%X\n", append(line, sum))
	}
	for at := 0; at < len(code); at += hexPerLine {
		record(hexData, at, code[at:min(at+hexPerLine, len(code))])
	}
	record(hexEnd, 0, nil)
	return out.Bytes()
}
