// Package powerloss holds the test of what is left of the records and of all
// that is kept when the power goes: a process writes all of it to a disk that
// forgets what was not brought to it, and loses the disk at some moment.
//
// It judges how much time is lost, so it isn't run with the race detector: disk
// and process together would not keep up with what is written.
package powerloss
