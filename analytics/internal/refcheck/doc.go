// Package refcheck holds the tests of the analytics to reference files: published or independently computed answers, one
// JSON file each, in testdata/reference/values or in the folder that VINETALLY_REFERENCE_DIR names.
//
// It is for tests alone, and so may read files where other analytics packages may not. An analytics package that owns a
// method has one test that hands Run a handler for each of its methods:
//
//	func TestReferenceLeastSquares(t *testing.T) {
//		refcheck.Run(t, "analytics/estimate", map[string]refcheck.Handler{"nonlinear least squares": nist})
//	}
//
// A handler reads File.Data, computes, and returns a tree of the same shape as File.Expected. Every quantity of the
// expected tree must be in the answer and within tolerance; one that the handler doesn't give is a failure, never a skip.
// The answer may hold more than is expected.
package refcheck
