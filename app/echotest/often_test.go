//go:build !long

package echotest

const (
	perBand      = 1
	emptyPerBand = 2
)
