//go:build !long

package echotest_test

const (
	seed         = 4101
	perBand      = 2
	emptyPerBand = 4
	emptyBound   = 0 // share
	// strengthBound, dB rms: twelve recordings a class know their own scatter to a fifth.
	strengthBound = 1.0
)
