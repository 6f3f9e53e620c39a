package forecast

// NextFlushDay is for tests that judge it on what truly ripened.
var NextFlushDay = nextFlush
