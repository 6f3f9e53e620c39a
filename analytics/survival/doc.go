// Package survival estimates times that are known only between two looks: from breaker to red between visits, to emergence
// between counts. It has the parametric accelerated failure time models, location-scale models on the whole
// line (FitLine), the nonparametric estimates of Turnbull and of Kaplan and Meier, and the log-rank test.
//
// It knows numbers only. Times are from 0 on, but for FitLine; an observation lies in the half-open interval (left, right], right +Inf if it hadn't
// come by the last look, and left = right if its time is known exactly.
package survival
