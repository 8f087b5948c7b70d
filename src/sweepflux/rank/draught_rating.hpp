#pragma once

namespace sweepflux {

/// Share of people predicted to be bothered by draught [%], at the neck and light, mainly
/// sedentary activity: (34 - t) (v - 0.05)^0.62 (0.37 v Tu + 3.14) [ISO 7730:2005, 6.2]. Below
/// 0.05 m/s it is 0; values above 100 are 100. Warmer than 34 degC it is 0.
///
/// @param air_temperature_c  local, 20 to 26 for the model to hold
/// @param speed_m_s          mean, below 0.5 for the model to hold
/// @param turbulence         intensity, standard deviation over mean, 0.1 to 0.6 for it to hold
/// @throws InputError  not finite, or speed or intensity below zero
[[nodiscard]] double draught_rating_percent(double air_temperature_c,
                                            double speed_m_s,
                                            double turbulence);

/// Whether the model was made for such air.
[[nodiscard]] bool draught_rating_holds(double air_temperature_c,
                                        double speed_m_s,
                                        double turbulence);

/// The intensity that the standard's own table of speeds rests on [ISO 7730:2005, table A.5].
inline constexpr double usual_turbulence = 0.40;

}  // namespace sweepflux
