package traffic

import (
	"errors"
	"fmt"
)

// Fault says which rule a text broke.
type Fault uint8

const (
	Empty Fault = iota + 1
	TooBig
	NotMail
	NoRecipients
	HeaderTooLong
	TooManyParts
	TooDeep
	Unreadable
	NotMbox
	TruncatedMbox
	TooManyMessages
	NotPicture
	PictureTooBig
	BudgetTooSmall
	UnknownPrecedence
	NotQueued
	BesideItself
	OtherPrecedence
)

// Error is what Parse, SplitMbox and Versions answer for bytes they refuse.
type Error struct {
	Fault  Fault
	Got    int64  // what was found: octets, parts, a line number
	Limit  int64  // what is allowed, where there is a limit
	Detail string // a text quoted from the input, or what the library said
}

func (e *Error) Error() string {
	switch e.Fault {
	case Empty:
		return "the message is empty: give RFC 5322 mail"
	case TooBig:
		return fmt.Sprintf("the message has %d octets, the most is %d: split it or leave its attachments out", e.Got, e.Limit)
	case NotMail:
		return fmt.Sprintf("this is not mail: %s; expected header lines such as From, To and Subject, then an empty line", e.Detail)
	case NoRecipients:
		return "the message has no recipients: add a To, Cc or Bcc line"
	case HeaderTooLong:
		return fmt.Sprintf("the headers are too long, %d octets where %d are allowed: an empty line after them may be missing", e.Got, e.Limit)
	case TooManyParts:
		return fmt.Sprintf("the message has %d parts or more, the most is %d: send its attachments as one archive", e.Got, e.Limit)
	case TooDeep:
		return fmt.Sprintf("the message holds %d multipart sections or more, the most is %d: forward its parts one by one", e.Got, e.Limit)
	case Unreadable:
		return fmt.Sprintf("the message cannot be taken apart: %s; save it again from the mail program", e.Detail)
	case NotMbox:
		return fmt.Sprintf("this is not an mbox: it begins with %q where a line \"From …\" was expected; give a single message as a file of its own", e.Detail)
	case TruncatedMbox:
		return fmt.Sprintf("the mbox breaks off inside its last message, which begins at octet %d: copy the file again, or read the octets before it", e.Got)
	case TooManyMessages:
		return fmt.Sprintf("the mbox holds more than %d messages: split it", e.Limit)
	case NotPicture:
		return fmt.Sprintf("this is not a picture that can be made smaller: %s; give JPEG, PNG or GIF", e.Detail)
	case PictureTooBig:
		return fmt.Sprintf("the picture has %d pixels, the most is %d: make it smaller first", e.Got, e.Limit)
	case BudgetTooSmall:
		return fmt.Sprintf("no version fits into %d octets, the smallest has %d: allow at least that", e.Limit, e.Got)
	case UnknownPrecedence:
		return fmt.Sprintf("%q is not a precedence: write routine, priority, immediate or flash", e.Detail)
	case NotQueued:
		return fmt.Sprintf("message %s does not wait in the queue: name one that farhail traffic list shows", e.Detail)
	case BesideItself:
		return fmt.Sprintf("message %s cannot go before or after itself: name another of its precedence", e.Detail)
	case OtherPrecedence:
		return fmt.Sprintf("%s: a message moves only within its precedence; give it the other precedence first", e.Detail)
	}
	panic(fmt.Sprintf("traffic: fault %d has no sentence", e.Fault))
}

// IsInput says whether an error is about the bytes that were given, not about us.
func IsInput(err error) bool {
	var e *Error
	return errors.As(err, &e)
}
