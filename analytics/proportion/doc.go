// Package proportion gives intervals for a share, x of n, and for the difference of two shares.
//
// They hold for independent trials. Seeds that share a spot and fruit that share a plant are not: an interval from here is
// too narrow for them, and whoever shows it says so.
package proportion
