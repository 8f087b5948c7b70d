#pragma once

/// The drawing library as its users see it; see sweepflux/sweepflux.hpp.

#include "render/canvas/write_png.hpp"
#include "render/canvas/write_svg.hpp"
#include "render/charts/bars.hpp"
#include "render/charts/fan_charts.hpp"
#include "render/charts/plane_map.hpp"
#include "render/charts/profiles.hpp"
#include "render/charts/schedule_chart.hpp"
#include "render/charts/stream_chart.hpp"
#include "render/charts/stream_view.hpp"
#include "render/pages/campaign_page.hpp"
#include "render/pages/survey_page.hpp"
#include "render/pages/survey_pictures.hpp"
