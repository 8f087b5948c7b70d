#pragma once

/// The library as its users see it: what is included here, and what that needs, is installed.
/// Everything else serves inside and may change with any version.

// A survey, a balance session, raw logs: read, with every fault named.
#include "sweepflux/capture/survey/read_campaign_file.hpp"
#include "sweepflux/capture/survey/read_session.hpp"
#include "sweepflux/capture/survey/read_survey.hpp"
#include "sweepflux/capture/survey/survey_template.hpp"
#include "sweepflux/derive/log/reduce_log.hpp"
#include "sweepflux/derive/log/reduce_survey.hpp"
#include "sweepflux/derive/thrust/reduce_session.hpp"
#include "sweepflux/derive/thrust/scale_log.hpp"
#include "sweepflux/derive/thrust/session_thrust.hpp"
#include "sweepflux/derive/thrust/steady_watch.hpp"

// Maps, flow, momentum flux, cross-check; plans; fans side by side.
#include "sweepflux/result/map_survey.hpp"
#include "sweepflux/plan/drive_run.hpp"
#include "sweepflux/plan/schedule.hpp"
#include "sweepflux/rank/compare.hpp"
#include "sweepflux/rank/survey_summary.hpp"

// Results as files and text.
#include "sweepflux/record/comparison.hpp"
#include "sweepflux/record/image_data.hpp"
#include "sweepflux/record/plan_files.hpp"
#include "sweepflux/record/reduced_sweep.hpp"
#include "sweepflux/record/summary.hpp"
#include "sweepflux/record/tables.hpp"

// Any values at any places of a plane: interpolation and its uncertainty.
#include "sweepflux/field/general/condense.hpp"
#include "sweepflux/field/general/interpolants.hpp"
#include "sweepflux/field/general/kriging_fit.hpp"
#include "sweepflux/field/general/linear_cells.hpp"
#include "sweepflux/field/general/nearest_kriging.hpp"
#include "sweepflux/field/general/ordinary_kriging.hpp"
