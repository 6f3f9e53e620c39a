// The parts of Apache ECharts that the charts of vinetally use.
export { init, format, version } from "echarts/core";
import { use } from "echarts/core";
import { BarChart, CustomChart, LineChart, ScatterChart } from "echarts/charts";
import { GridComponent, TitleComponent, TooltipComponent } from "echarts/components";
import { LabelLayout } from "echarts/features";
import { SVGRenderer } from "echarts/renderers";

use([BarChart, CustomChart, LineChart, ScatterChart, GridComponent, TitleComponent, TooltipComponent, LabelLayout, SVGRenderer]);
