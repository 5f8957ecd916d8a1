//go:build !long

package echotest

const (
	perBand      = 1
	emptyPerBand = 2
	// strengthBound, dB rms: six recordings a class know their own scatter to a third.
	strengthBound = 1.1
)
