//go:build long

package echotest_test

const (
	seed         = 4201
	perBand      = 40
	emptyPerBand = 100
	emptyBound   = 0.005 // share
	// strengthBound, dB rms.
	strengthBound = 0.8
)
