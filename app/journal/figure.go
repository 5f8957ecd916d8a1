package journal

import (
	"database/sql"
	"math"
)

// figure takes a column into a float64, NaN where there is nothing.
type figure struct{ to *float64 }

// Scan implements sql.Scanner.
func (f figure) Scan(value any) error {
	var n sql.NullFloat64
	if err := n.Scan(value); err != nil {
		return err
	}
	*f.to = known(n)
	return nil
}

func known(f sql.NullFloat64) float64 {
	if f.Valid {
		return f.Float64
	}
	return math.NaN()
}
