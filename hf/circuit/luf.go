package circuit

import "sync"

// lufBands are 2.0 … 30.0 MHz in steps of 0.1.
var lufBands = sync.OnceValue(func() []Band {
	b := make([]Band, 0, 281)
	for i := 20; i <= 300; i++ {
		b = append(b, NewBand(float64(i)/10))
	}
	return b
})

// LUF returns the lowest usable frequency, MHz: the lowest of 2.0 … 30.0 in steps of
// 0.1 at which the median SNR reaches what is required; ok is false when none does.
//
// Source: P.533-14 §9, as in our notes (from memory, high). It costs up to 281
// predictions.
func (h *Hour) LUF() (fMHz float64, ok bool) {
	var r Prediction
	bands := lufBands()
	for i := range bands {
		if h.Predict(&bands[i], &r); r.Arrives() && r.SNR >= float64(h.p.NeedSNR) {
			return bands[i].MHz, true
		}
	}
	return 0, false
}
