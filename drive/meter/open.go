package meter

import (
	"context"
	"fmt"
	"io"
	"net"

	"beamhelm/drive/link"
)

// Serial opens a serial port, which no other panel can use meanwhile.
func Serial(s link.Settings) func(ctx context.Context) (io.ReadWriteCloser, error) {
	open := link.Serial(s)
	return func(context.Context) (io.ReadWriteCloser, error) {
		line, err := open()
		if err != nil {
			return nil, err
		}
		return line, nil
	}
}

// Network opens a connection to "host:port".
func Network(address string) func(ctx context.Context) (io.ReadWriteCloser, error) {
	return func(ctx context.Context) (io.ReadWriteCloser, error) {
		ctx, cancel := context.WithTimeout(ctx, patience)
		defer cancel()
		var d net.Dialer
		conn, err := d.DialContext(ctx, "tcp", address)
		if err != nil {
			return nil, fmt.Errorf("connecting: %w", err)
		}
		return conn, nil
	}
}
