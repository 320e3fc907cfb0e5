// Package plan decides the calls of the coming watch.
//
// It is a finite decision problem, solved backwards over quarters of an hour. The
// state is the slot, how far along each queue of messages the traffic has got, the
// battery, and the belief about the day's sky. In each slot the desk rests or calls a
// channel for at most some minutes; if nobody answers it may call another in the same
// slot, chosen given the failure. A call delivers whole messages in order of
// precedence; each earns its worth when it is through, energy and sleep cost, and the
// battery's reserve is never crossed.
//
// Notation: t slot; i place in the queues; b battery, Wh; θ tilt of the
// belief, π_k ∝ prior_k e^{θ z_k} over the states k of the sky; q_k chance to connect
// in state k; V(t, i, b, θ) value of acting best from t on.
//
// Battery and belief lie on grids; between grid points the value is interpolated,
// which is to say that the next state is drawn from the two neighbours so that its mean
// is right. Stations' presence is one unknown for both calls of a slot; from slot to
// slot it starts afresh, and the desk plans again after every call. A channel is passed over
// only where a bound proves that it cannot be worth more than what is in hand: see bound.
package plan
