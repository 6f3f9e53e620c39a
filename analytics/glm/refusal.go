package glm

import "fmt"

// Refusal says in words why there is no fit.
type Refusal struct{ Reason string }

func (e *Refusal) Error() string { return e.Reason }

func refuse(format string, args ...any) error { return &Refusal{fmt.Sprintf(format, args...)} }
