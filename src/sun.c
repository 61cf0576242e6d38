/* SPDX-License-Identifier: GPL-3.0-or-later */
#include "sun.h"

#include <math.h>

#include "num.h"

#define RADIAN          (M_PI / 180)
#define J2000           2451545.0 /* Julian day of 2000-01-01 12:00 */
#define CENTURY_D       36525.0
#define SOLAR_CONSTANT  0.0820 /* MJ/m2/min, FAO-56 */
#define MINUTES_PER_DAY (24.0 * 60.0)

/* v brought into 0..turn. */
static double wrap(double v, double turn)
{
    double r = fmod(v, turn);
    return r < 0 ? r + turn : r;
}

/* Elevation and azimuth for a declination and an hour angle (0 at noon, positive in the afternoon).
 */
static struct sun_position sky_position(double declination, double hour_angle, double latitude)
{
    double up =
        sin(latitude) * sin(declination) + cos(latitude) * cos(declination) * cos(hour_angle);
    double east = -cos(declination) * sin(hour_angle);
    double north =
        cos(latitude) * sin(declination) - sin(latitude) * cos(declination) * cos(hour_angle);
    return (struct sun_position){
        .elevation = asin(num_clamp(up, -1, 1)),
        .azimuth = wrap(atan2(east, north), 2 * M_PI),
        .declination = declination,
    };
}

struct ephemeris {
    double declination;      /* apparent, rad */
    double equation_of_time; /* apparent minus mean solar time, minutes */
};

/* Meeus, Astronomical Algorithms, ch. 25 (low accuracy) and 28, as NOAA's sheet has them. */
static struct ephemeris ephemeris_at(double julian_day)
{
    double t = (julian_day - J2000) / CENTURY_D;
    double longitude = wrap(280.46646 + t * (36000.76983 + t * 0.0003032), 360) * RADIAN;
    double anomaly = wrap(357.52911 + t * (35999.05029 - t * 0.0001537), 360) * RADIAN;
    double eccentricity = 0.016708634 - t * (0.000042037 + t * 0.0000001267);
    double centre = sin(anomaly) * (1.914602 - t * (0.004817 + t * 0.000014)) +
                    sin(2 * anomaly) * (0.019993 - t * 0.000101) + sin(3 * anomaly) * 0.000289;
    double node = (125.04 - 1934.136 * t) * RADIAN;
    double apparent = longitude + (centre - 0.00569 - 0.00478 * sin(node)) * RADIAN;
    double seconds = 21.448 - t * (46.815 + t * (0.00059 - t * 0.001813));
    double obliquity = (23 + (26 + seconds / 60) / 60 + 0.00256 * cos(node)) * RADIAN;
    double y = tan(obliquity / 2) * tan(obliquity / 2);
    double eot = y * sin(2 * longitude) - 2 * eccentricity * sin(anomaly) +
                 4 * eccentricity * y * sin(anomaly) * cos(2 * longitude) -
                 y * y / 2 * sin(4 * longitude) -
                 5.0 / 4 * eccentricity * eccentricity * sin(2 * anomaly);
    return (struct ephemeris){
        .declination = asin(num_clamp(sin(obliquity) * sin(apparent), -1, 1)),
        .equation_of_time = eot / RADIAN * 4,
    };
}

struct sun_position sun_at(double julian_day, double latitude, double longitude)
{
    struct ephemeris e = ephemeris_at(julian_day);
    double utc_minutes = (julian_day + 0.5 - floor(julian_day + 0.5)) * MINUTES_PER_DAY;
    double solar_minutes = utc_minutes + e.equation_of_time + 4 * longitude / RADIAN;
    double hour_angle = (wrap(solar_minutes, MINUTES_PER_DAY) / 4 - 180) * RADIAN;
    return sky_position(e.declination, hour_angle, latitude);
}

double sun_julian_day(int year, int month, int day, double hour_utc)
{
    int y = month <= 2 ? year - 1 : year;
    int m = month <= 2 ? month + 12 : month;
    double century = floor(y / 100.0);
    double gregorian = 2 - century + floor(century / 4);
    return floor(365.25 * (y + 4716)) + floor(30.6001 * (m + 1)) + day + gregorian - 1524.5 +
           hour_utc / 24;
}

/* ---- by day of the year: FAO Irrigation and Drainage Paper 56, eq. 21-25, 34, 35 ------------ */

static double day_angle(int day)
{
    return 2 * M_PI * day / 365;
}

static double day_declination(int day)
{
    return 0.409 * sin(day_angle(day) - 1.39);
}

/* 0 in polar night, pi in polar day. */
static double sunset_hour_angle(int day, double latitude)
{
    return acos(num_clamp(-tan(latitude) * tan(day_declination(day)), -1, 1));
}

struct sun_position sun_solar(int day, double solar_hour, double latitude)
{
    return sky_position(day_declination(day), (solar_hour - 12) * 15 * RADIAN, latitude);
}

double sun_extraterrestrial(int day, double latitude)
{
    double distance = 1 + 0.033 * cos(day_angle(day));
    double declination = day_declination(day);
    double sunset = sunset_hour_angle(day, latitude);
    double ra = MINUTES_PER_DAY / M_PI * SOLAR_CONSTANT * distance *
                (sunset * sin(latitude) * sin(declination) +
                 cos(latitude) * cos(declination) * sin(sunset));
    return fmax(ra, 0);
}

double sun_day_length(int day, double latitude)
{
    return 24 / M_PI * sunset_hour_angle(day, latitude);
}

double sun_radiation(double ra, double n_hours, double day_length)
{
    double share = day_length > 0 ? num_clamp(n_hours / day_length, 0, 1) : 0;
    return (0.25 + 0.50 * share) * ra;
}
