//go:build linux && long

package link

const tornDown = 50
