#include "data/campaign_parts.h"

#include <string.h>

/* CF standard names (version 85 and older) where they are handy, else words of the trade. */
static const wa_quantity known[] = {
    {"wind_speed", "m s-1"},
    {"wind_from_direction", "degree"},
    {"wind_to_direction", "degree"},
    {"wind_speed_of_gust", "m s-1"},
    {"eastward_wind", "m s-1"},
    {"northward_wind", "m s-1"},
    {"upward_air_velocity", "m s-1"},
    {"vertical_wind_speed", "m s-1"},
    {"los_speed", "m s-1"},
    {"spectral_width", "m s-1"},
    {"carrier_to_noise_ratio", "dB"},
    {"turbulence_intensity", "%"},
    {"air_temperature", "degC"},
    {"relative_humidity", "%"},
    {"air_pressure", "hPa"},
    {"air_density", "kg m-3"},
    {"rainfall_rate", "mm h-1"},
    {"tilt", "degree"},
    {"roll", "degree"},
    {"yaw_misalignment", "degree"},
    {"heading_direction", "degree"},
};

const wa_quantity *wa_quantity_known(const char *name)
{
    for (size_t i = 0; i < sizeof known / sizeof *known; i++)
        if (strcmp(known[i].name, name) == 0)
            return &known[i];
    return NULL;
}
