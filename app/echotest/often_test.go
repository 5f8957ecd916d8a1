//go:build !long

package echotest

const (
	perBand      = 5
	emptyPerBand = 8
)
