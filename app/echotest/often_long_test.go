//go:build long

package echotest

const (
	perBand      = 40
	emptyPerBand = 100
	// strengthBound, dB rms.
	strengthBound = 0.8
)
