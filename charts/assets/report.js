// Draws the charts of a report and makes its tables easier to use. Without it the page is complete but for the charts.
// Chart options arrive as JSON. Two kinds of names in them are replaced: "$fn:name" by a function of this file, under
// the four keys that take functions, and "$c:name" by a colour of the style sheet, under the keys that take colours. Text typed by
// users stands under other keys and is never looked at.
(function () {
  "use strict";

  var doc = document;
  var root = doc.documentElement;
  var breakSign = "\u241e";
  var narrowBelow = 600;
  var printWidth = 680;
  var printedRows = 24;
  var months = ["Jan", "Feb", "Mar", "Apr", "May", "Jun", "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"];

  function escape(text) { return echarts.format.encodeHTML(String(text)); }

  function lines(text) {
    return String(text).split(breakSign).map(function (line, i) {
      return i === 0 ? "<b>" + escape(line) + "</b>" : escape(line);
    }).join("<br>");
  }

  function group(value) {
    var text = String(+value.toFixed(4));
    return Math.abs(value) >= 10000 ? text.replace(/\B(?=(\d{3})+$)/g, "\u202f") : text;
  }

  function stroke(points, api) {
    return { type: "polyline", shape: { points: points }, style: { stroke: api.visual("color"), lineWidth: 1.5, fill: "none" } };
  }

  // ribbon draws a band as one polygon with its edges, with the first of its points.
  function ribbon(params, api, opacity, dash) {
    if (params.dataIndex !== 0) { return null; }
    var low = [], high = [];
    for (var i = 0; i < params.dataInsideLength; i++) {
      low.push(api.coord([api.value(0, i), api.value(1, i)]));
      high.push(api.coord([api.value(0, i), api.value(2, i)]));
    }
    var colour = api.visual("color");
    function edge(points) { return { type: "polyline", shape: { points: points }, style: { stroke: colour, lineWidth: 1, fill: "none", lineDash: dash } }; }
    return { type: "group", children: [
      { type: "polygon", shape: { points: high.concat(low.slice().reverse()) }, style: { fill: colour, opacity: opacity } }, edge(high), edge(low)
    ] };
  }

  var functions = {
    tip: function (item) { return item.name ? lines(item.seriesName + breakSign + item.name) : ""; },
    // One line of heading for things that share it, such as the groups at one time.
    tipAxis: function (items) {
      var heads = [], bodies = {};
      [].concat(items).forEach(function (item) {
        if (!item.name || item.name.indexOf(breakSign) < 0) { return; }
        var cut = item.name.indexOf(breakSign);
        var head = item.name.slice(0, cut), body = item.name.slice(cut + 1);
        if (heads.indexOf(head) < 0) { heads.push(head); bodies["_" + head] = []; }
        if (bodies["_" + head].indexOf(body) < 0) { bodies["_" + head].push(body); }
      });
      return heads.map(function (head) { return lines([head].concat(bodies["_" + head]).join(breakSign)); }).join("<br>");
    },
    series: function (item) { return item.seriesName; },
    markLabel: function (item) { return String(item.value[3]); },
    shortLabel: function (item) { return String(item.value[4] === undefined ? item.value[3] : item.value[4]); },
    positive: function (item) { return item.value[0] > 0 ? String(item.value[3]) : ""; },
    markSize: function (value) { return Math.max(9, Math.min(18, 6 + 3 * Math.sqrt(value[2]))); },
    number: group,
    day: function (value) {
      var d = new Date(value);
      var clock = d.getUTCHours() || d.getUTCMinutes()
        ? " " + ("0" + d.getUTCHours()).slice(-2) + ":" + ("0" + d.getUTCMinutes()).slice(-2) : "";
      return d.getUTCDate() + " " + months[d.getUTCMonth()] + clock;
    },
    band: function (params, api) { return ribbon(params, api, 0.18, [1, 3]); },
    inner: function (params, api) { return ribbon(params, api, 0.3, "solid"); },
    upright: function (params, api) {
      var low = api.coord([api.value(0), api.value(1)]), high = api.coord([api.value(0), api.value(2)]);
      return { type: "group", children: [
        stroke([low, high], api),
        stroke([[low[0] - 4, low[1]], [low[0] + 4, low[1]]], api),
        stroke([[high[0] - 4, high[1]], [high[0] + 4, high[1]]], api)
      ] };
    },
    lying: function (params, api) {
      var from = api.coord([api.value(0), api.value(2)]), to = api.coord([api.value(1), api.value(2)]);
      return { type: "group", children: [
        stroke([from, to], api),
        stroke([[from[0], from[1] - 4], [from[0], from[1] + 4]], api),
        stroke([[to[0], to[1] - 4], [to[0], to[1] + 4]], api)
      ] };
    }
  };
  var functionKeys = { formatter: 1, valueFormatter: 1, renderItem: 1, symbolSize: 1 };
  var colourKeys = { color: 1, borderColor: 1, backgroundColor: 1, textBorderColor: 1 };

  function colour(name) { return getComputedStyle(root).getPropertyValue("--" + name).trim(); }

  function revive(value, key) {
    if (typeof value === "string") {
      if (functionKeys[key] === 1 && value.slice(0, 4) === "$fn:") {
        var name = value.slice(4);
        return Object.prototype.hasOwnProperty.call(functions, name) ? functions[name] : undefined;
      }
      return colourKeys[key] === 1 && value.slice(0, 3) === "$c:" ? colour(value.slice(3)) : value;
    }
    if (Array.isArray(value)) { return value.map(function (item) { return revive(item, ""); }); }
    if (value && typeof value === "object") {
      Object.keys(value).forEach(function (k) { value[k] = revive(value[k], k); });
    }
    return value;
  }

  function theme() {
    var ink = colour("ink"), muted = colour("muted"), rule = colour("rule"), paper = colour("paper");
    var axis = {
      axisLine: { show: true, lineStyle: { color: muted } }, axisTick: { lineStyle: { color: muted } },
      axisLabel: { color: ink, fontSize: 12 }, nameTextStyle: { color: ink, fontSize: 12 },
      splitLine: { lineStyle: { color: rule } }
    };
    return {
      backgroundColor: "transparent",
      textStyle: { fontFamily: getComputedStyle(doc.body).fontFamily, color: ink },
      title: { textStyle: { color: ink, fontSize: 13, fontWeight: "normal" }, padding: 0 },
      categoryAxis: axis, valueAxis: axis, timeAxis: axis,
      tooltip: {
        confine: true, transitionDuration: 0, backgroundColor: paper, borderColor: muted, borderWidth: 1, padding: [6, 9],
        textStyle: { color: ink, fontSize: 13 }, extraCssText: "box-shadow:none;white-space:normal;max-width:260px;",
        axisPointer: { lineStyle: { color: muted }, shadowStyle: { color: colour("shade") }, label: { show: false } }
      }
    };
  }

  // ticks returns at most count days (Mondays, firsts of months) between two times.
  function ticks(from, to, count) {
    var dayLength = 864e5, out = [], at;
    var steps = [1, 2, 7, 14];
    for (var i = 0; i < steps.length; i++) {
      var step = steps[i] * dayLength;
      if ((to - from) / step > count) { continue; }
      // Day 4 of the epoch was a Monday.
      at = Math.ceil((from - 4 * dayLength) / step) * step + 4 * dayLength;
      for (; at <= to; at += step) { out.push(at); }
      return out;
    }
    var first = new Date(from), months = [1, 2, 3, 6, 12], every = 12;
    for (var m = months.length - 1; m >= 0; m--) {
      if ((to - from) / (30.4 * dayLength * months[m]) <= count) { every = months[m]; }
    }
    var month = first.getUTCFullYear() * 12 + first.getUTCMonth() + 1;
    for (month += (every - month % every) % every; ; month += every) {
      at = Date.UTC(Math.floor(month / 12), month % 12, 1);
      if (at > to) { return out; }
      out.push(at);
    }
  }

  // spread moves the names at the ends of lines to the edge of the plot, and apart where they would lie on each other.
  function spread(chart, option) {
    var labels = [], sums = {};
    (option.series || []).forEach(function (s, i) {
      if (!s.endLabel) { return; }
      var end = s.data[s.data.length - 1], last = end.value || end, y = last[1];
      if (s.stack) {
        sums[s.stack] = (sums[s.stack] || 0) + (+y || 0);
        y = sums[s.stack];
      }
      if (!s.endLabel.show) { return; }
      var at = chart.convertToPixel({ seriesIndex: i }, [last[0], y]);
      var edge = chart.convertToPixel({ xAxisIndex: s.xAxisIndex || 0 }, [].concat(option.xAxis)[s.xAxisIndex || 0].max);
      labels.push({ index: i, y: at[1], right: edge - at[0] });
    });
    labels.sort(function (a, b) { return b.y - a.y; });
    var patch = (option.series || []).map(function () { return {}; });
    var floor = Infinity;
    labels.forEach(function (label) {
      var y = Math.min(label.y, floor - 15);
      floor = y;
      patch[label.index] = { endLabel: { offset: [label.right, y - label.y] } };
    });
    if (labels.length) { chart.setOption({ series: patch }); }
  }

  // fit adapts an option to a narrow screen: names at the end of lines go (the key has them), category names get less room.
  function fit(option, width) {
    [].concat(option.xAxis).forEach(function (a) {
      if (a.type !== "time") { return; }
      a.axisLabel.customValues = ticks(a.min, a.max, Math.max(2, Math.floor(width / 90)));
      if (a.axisTick.show) { a.axisTick.customValues = a.axisLabel.customValues; }
    });
    if (option.title && option.title.text) {
      option.title.textStyle = { width: width - 8, overflow: "break" };
    }
    if (width >= narrowBelow) { return option; }
    (option.series || []).forEach(function (s) {
      if (s.endLabel) { s.endLabel.show = false; }
      if (s.label && s.label.formatter === functions.markLabel) { s.label.formatter = functions.shortLabel; }
    });
    [].concat(option.grid).forEach(function (g) { if (g.right > 64) { g.right = 16; } });
    [].concat(option.yAxis).forEach(function (a) {
      if (a.type === "category" && a.axisLabel && a.axisLabel.width) {
        a.axisLabel.width = 100; // “28 Sep – 12 Oct”
        [].concat(option.grid)[a.gridIndex || 0].left = 110;
      }
    });
    [].concat(option.xAxis).forEach(function (a) { if (a.type === "value") { a.splitNumber = 4; } });
    return option;
  }

  var hosts = [].slice.call(doc.querySelectorAll("[data-chart]"));

  function draw(host) {
    var width = host.clientWidth;
    try {
      var data = JSON.parse(doc.getElementById(host.getAttribute("data-chart")).textContent);
      if (host.chart) { host.chart.dispose(); }
      host.chart = echarts.init(host, theme(), { renderer: "svg", locale: "EN" });
      host.narrow = width < narrowBelow;
      host.width = width;
      var option = fit(revive(data, ""), width);
      host.chart.setOption(option);
      spread(host.chart, option);
    } catch (err) {
      host.className = "undrawn";
      host.textContent = "The chart could not be drawn; its table is below.";
      var details = host.closest("section").querySelector("details");
      if (details) { details.open = true; }
      console.error("chart " + host.id + ": " + err);
    }
  }

  // Charts are drawn one by one so that a long page can be read meanwhile.
  var pending = [];
  function drawSome() {
    if (pending.length) { draw(pending.shift()); }
    if (pending.length) { setTimeout(drawSome, 0); } else { root.setAttribute("data-charts", "drawn"); }
  }
  function drawAll(now) {
    root.removeAttribute("data-charts");
    pending = hosts.slice();
    if (!now) { drawSome(); return; }
    while (pending.length) { draw(pending.shift()); }
    root.setAttribute("data-charts", "drawn");
  }

  function watch() {
    var queued = false;
    addEventListener("resize", function () {
      if (queued) { return; }
      queued = true;
      requestAnimationFrame(function () {
        queued = false;
        hosts.forEach(function (host) { if (host.chart && host.clientWidth !== host.width) { draw(host); } });
      });
    });
    matchMedia("(prefers-color-scheme: dark)").addEventListener("change", function () { drawAll(false); });
    // Paper is light and has a width of its own.
    addEventListener("beforeprint", function () {
      shortTables().forEach(function (details) { details.open = details.printed = true; });
      root.classList.add("paper");
      root.style.setProperty("--print-width", printWidth + "px");
      drawAll(true);
    });
    addEventListener("afterprint", function () {
      [].slice.call(doc.querySelectorAll("details.data")).forEach(function (details) {
        if (details.printed) { details.open = details.printed = false; }
      });
      root.classList.remove("paper");
      drawAll(true);
    });
  }

  // shortTables are the folded tables that are worth their paper.
  function shortTables() {
    return [].slice.call(doc.querySelectorAll("details.data:not([open])")).filter(function (details) {
      return details.querySelector("table").tBodies[0].rows.length <= printedRows;
    });
  }

  function tables() {
    var all = [].slice.call(doc.querySelectorAll("details.data"));
    all.forEach(function (details) {
      if (details.hasAttribute("data-fold")) { details.open = false; }
    });
    var button = doc.getElementById("open-tables");
    if (button && all.length > 1) {
      button.hidden = false;
      button.addEventListener("click", function () {
        var open = all.some(function (details) { return !details.open; });
        all.forEach(function (details) { details.open = open; });
        button.textContent = open ? "Close all tables" : "Open all tables";
      });
    }
    [].slice.call(doc.querySelectorAll(".filter")).forEach(function (box) {
      var input = box.querySelector("input"), status = box.querySelector("output");
      var rows = [].slice.call(doc.getElementById(box.getAttribute("data-for")).tBodies[0].rows);
      var texts = rows.map(function (row) { return row.textContent.toLowerCase().replace(/\u00a0/g, " "); });
      function apply() {
        var want = input.value.trim().toLowerCase(), shown = 0;
        rows.forEach(function (row, i) {
          row.hidden = want !== "" && texts[i].indexOf(want) < 0;
          if (!row.hidden) { shown++; }
        });
        status.textContent = shown + " of " + rows.length + " rows";
      }
      box.hidden = false;
      input.addEventListener("input", apply);
      apply();
    });
  }

  function start() {
    tables();
    if (!hosts.length) { root.setAttribute("data-charts", "drawn"); return; }
    hosts.forEach(function (host) { host.hidden = false; });
    watch();
    drawAll(false);
  }
  if (doc.readyState === "loading") { doc.addEventListener("DOMContentLoaded", start); } else { start(); }
})();
