/* SPDX-License-Identifier: GPL-3.0-or-later */
#ifndef SUN_H
#define SUN_H
/* Where the sun stands and what it gives. Angles in radians. */

struct sun_position {
    double elevation; /* above the horizon, unrefracted */
    double azimuth;   /* from north, eastward, 0..2 pi */
    double declination;
};

/* NOAA/Meeus short form at a UTC instant. julian_day: with fraction. latitude north, longitude east
 * positive. Within 0.01 degree of the NREL SPA (Reda & Andreas 2004) without refraction. */
struct sun_position sun_at(double julian_day, double latitude, double longitude);
/* Julian day of a UTC civil time (Gregorian). */
double sun_julian_day(int year, int month, int day, double hour_utc);
/* For planning: by day of a 365-day year (1..365) and local solar hour (12: noon), FAO-56 eq. 24
 * declination. */
struct sun_position sun_solar(int day, double solar_hour, double latitude);
/* FAO-56 eq. 21-25, 34: extraterrestrial radiation (MJ/m2/d) and day length (h). 0 in polar night.
 */
double sun_extraterrestrial(int day, double latitude);
double sun_day_length(int day, double latitude);
/* FAO-56 eq. 35: solar radiation from sunshine hours n of N, a_s 0.25, b_s 0.50. */
double sun_radiation(double ra, double n_hours, double day_length);

#endif
