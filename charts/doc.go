// Package charts turns finished results into HTML pages that open from disk with the network off.
//
// A caller fills a [Page]: the answer in words, key figures, and sections that each hold a sentence, a [Figure] and the
// [Table] of the same figures. [WriteFile] writes it as one file that holds its script and style; [WriteServed] writes
// the same page with links to the files of [Assets], to be sent with the policy [ServedCSP]. The package computes no
// statistic, reads no clock and opens no file: the same page always gives the same bytes.
//
// # Charts
//
// The figures are [StageAreas], [Curves], [Cumulative], [Bars], [Timeline], [Fan] and [Ranges]. Each builds chart options with go-echarts, takes
// them as data and marshals them with encoding/json. The renderer of go-echarts is not used: it writes names into
// scripts unescaped and turns marked strings into code. Options never carry code. Where the chart library wants a
// function the option names one ("$fn:tip"), and assets/report.js puts in its own function of that name, only under the
// four keys that take functions; colours are named in the same way ("$c:stage-2") and come from assets/report.css.
//
// # What may not break
//
//   - Text typed by users is data everywhere. Control characters and those that reverse the reading direction are made
//     harmless (see clean), the template escapes for its context, and a strict Content-Security-Policy stands behind.
//   - What is not known is drawn as a gap and said in words, never as zero.
//   - Nothing is told by colour alone: stages and series differ by pattern, dash and symbol too, and every chart has a
//     table.
//   - A figure that can't be drawn (see [Check]) says so in its place; the rest of the page stands.
package charts
