// Package link makes exchanges with the enclosure: Port over a serial port in
// real time, Memory over a line in virtual time. Both are a drive.Exchanger and
// run the same session: on connection the identity and the sequence are read,
// the first demand is zero, every later reply must carry the sequence of its
// request, and an enclosure whose register map is not known is not written to.
//
// A loop needs no more than Exchange:
//
//	port, err := link.NewPort(link.Serial(settings), began, link.Default())
//	go port.Run(ctx)          // opens, and opens again after trouble
//	loop := drive.New(port, config)
//	...                       // end the loop first, the port's context after it
//
// While there is no connection Exchange returns an error at once. The first
// exchange on a line meets the enclosure and ends in ErrHandshake; the next one is
// made as asked.
package link
