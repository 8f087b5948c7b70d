#pragma once

#include "sweepflux/base/interrupt.hpp"
#include "sweepflux/derive/sample/samples.hpp"
#include "sweepflux/field/stream/candidates_private.hpp"
#include "sweepflux/field/stream/field_part_private.hpp"
#include "sweepflux/field/stream/residual_process_private.hpp"
#include "sweepflux/field/stream/root_process_private.hpp"

#include <memory>
#include <optional>
#include <string>
#include <vector>

namespace sweepflux {

/// A candidate's posterior in one plane, with its weight in the mixture.
struct WeightedPart {
  std::shared_ptr<const FieldPart> part;
  int plane = 0;              ///< index that `part` knows this plane by
  double weight = 0.0;        ///< of all in the mixture; they sum to 1
  double sd_factor = 1.0;     ///< on the part's standard deviations: misfit not told by itself
  double skirt_factor = 1.0;  ///< on the doubt of the skirt beyond the readings
  bool all_planes = false;    ///< knows every plane by its index in the survey; else this one alone
  std::optional<Candidate> candidate;  ///< empty: a process about a first guess
  std::string name;
};

/// The field of one plane: a mixture of candidates.
struct PlaneField {
  std::vector<WeightedPart> parts;
  /// The same if the room is not at rest; empty where its drift was read with the fan off. The
  /// lightest candidates have no part in it.
  std::vector<WeightedPart> parts_if_drifting;
  FitData::Plane frame;
  std::vector<double> rows_m;   ///< heights that inform this plane, other planes' carried here
  double half_width_y_m = 0.0;  ///< of the leading shape
  double half_width_z_m = 0.0;
  double misfit = 0.0;         ///< of the shapes, in units of the noise
  double pooled_weight = 0.0;  ///< 0: the plane by itself; 1: all planes as one stream
  double log_odds_pooled = 0.0;
  std::vector<ResidualProcess::LeftOutSweep> left_out_sweeps;  ///< sweep counts in the plane
  std::vector<ResidualProcess::LeftOutReading> outlying;       ///< sample counts in the plane
  std::vector<std::string> notes;
};

struct ReconstructOptions {
  int threads = 0;
  bool pool = true;         ///< let planes inform each other
  bool allow_drift = true;  ///< of a room that was not read: it may not be at rest
};

/// The fields of a survey; keeps the data that its parts refer to.
struct SurveyField {
  std::vector<std::unique_ptr<FitData>> data;
  std::vector<std::unique_ptr<MeanModel>> models;
  std::vector<PlaneField> planes;
};

/// The default recipe (DEVELOPERS.md, "How the field is made").
[[nodiscard]] SurveyField reconstruct(const std::vector<PlaneSamples>& planes,
                                      const ReconstructOptions& options = {},
                                      const Progress& progress = {});

}  // namespace sweepflux
