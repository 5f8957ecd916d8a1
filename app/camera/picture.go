package camera

import (
	"bytes"
	"context"
	"errors"
	"fmt"
	"image/jpeg"
	"io"
	"time"
)

// take reads one picture and shows it. What it may cost is known before it is
// decoded, and decoding ends when the context does.
func (c *Camera) take(ctx context.Context, from io.Reader, every time.Duration) error {
	var raw bytes.Buffer
	if n, err := io.Copy(&raw, io.LimitReader(from, maxBytes+1)); err != nil {
		return err
	} else if n > maxBytes {
		return errors.New("a picture is larger than 8 MB")
	}
	size, err := jpeg.DecodeConfig(bytes.NewReader(raw.Bytes()))
	if err != nil {
		return errors.New("what it sends is no JPEG picture")
	}
	if size.Width*size.Height > maxPixels {
		return fmt.Errorf("a picture of %d by %d is too large", size.Width, size.Height)
	}
	// A scan may claim all pixels in a handful of bytes: a small file of many
	// scans would hold a core for minutes.
	if n := scans(raw.Bytes()); n > maxScans {
		return fmt.Errorf("a picture of %d scans is too much work", n)
	}
	picture, err := jpeg.Decode(&endsWith{ctx, &raw})
	if err != nil {
		if ctx.Err() != nil {
			return ctx.Err()
		}
		return errors.New("a picture that comes damaged")
	}
	c.newest.Store(&Picture{Image: picture, At: time.Now(), Every: every})
	c.say("")
	return nil
}

// endsWith is a reader that ends with a context.
type endsWith struct {
	ctx  context.Context
	from io.Reader
}

// Read implements io.Reader. Pieces are small, so that an end is soon found.
func (e *endsWith) Read(p []byte) (int, error) {
	if err := e.ctx.Err(); err != nil {
		return 0, err
	}
	return e.from.Read(p)
}

// scans counts the scans of a JPEG file: the marker SOS, FF DA (ITU-T T.81,
// table B.1). Within the data of a scan a byte FF is followed by 00 or by a
// marker, so that the pair stands for nothing else there; in other segments a
// chance pair may be counted too.
func scans(file []byte) int { return bytes.Count(file, []byte{0xFF, 0xDA}) }
