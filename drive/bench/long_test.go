//go:build long

package main

// nightMinutes is how much of each night is tried.
const nightMinutes = 90
