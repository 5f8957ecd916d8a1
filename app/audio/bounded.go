package audio

import (
	"context"
	"errors"
	"fmt"
	"time"

	"beamhelm/ending"
)

// errNoAnswer says that the sound system did not answer.
var errNoAnswer = errors.New("the sound system doesn't answer")

// within has work done that may never end, and gives it up after a time: what
// comes of it later goes to late, if any.
func within[T any](
	ctx context.Context, limit time.Duration, what string, work func() (T, error), late func(T),
) (T, error) {
	type outcome struct {
		value T
		err   error
	}
	done, given := make(chan outcome), make(chan struct{})
	ending.Go("sound system", func() {
		ending.Here("sound system")
		value, err := work()
		select {
		case done <- outcome{value, err}:
		case <-given:
			if late != nil && err == nil {
				late(value)
			}
		}
	})
	timer := time.NewTimer(limit)
	defer timer.Stop()
	select {
	case o := <-done:
		return o.value, o.err
	case <-ctx.Done():
	case <-timer.C:
	}
	close(given)
	var none T
	return none, fmt.Errorf("%s: %w", what, errNoAnswer)
}

// How long the sound system may take.
const (
	openWithin  = 5 * time.Second
	closeWithin = time.Second
)

// open opens a stream within a limit; one that opens too late is closed again.
func open(ctx context.Context, make func() (Stream, error)) (Stream, error) {
	return within(ctx, openWithin, "open", make, func(late Stream) { late.Close() })
}

// shut closes a stream, and leaves it behind where that takes too long.
func shut(s Stream) {
	_, _ = within(context.Background(), closeWithin, "close", func() (struct{}, error) {
		s.Close()
		return struct{}{}, nil
	}, nil)
}

// Inputs are a system's inputs in the order in which they are offered. It takes openWithin at most.
func Inputs(ctx context.Context, s System) ([]Device, error) {
	devices, err := within(ctx, openWithin, "list the inputs", s.Inputs, nil)
	return Order(devices), err
}

// Outputs are a system's outputs, as Inputs.
func Outputs(ctx context.Context, s System) ([]Device, error) {
	devices, err := within(ctx, openWithin, "list the outputs", s.Outputs, nil)
	return Order(devices), err
}
