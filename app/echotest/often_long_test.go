//go:build long

package echotest

const (
	perBand      = 40
	emptyPerBand = 100
)
