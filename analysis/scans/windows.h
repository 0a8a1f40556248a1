#pragma once
/// The windows of a scan: around each place the places in order of distance, by circles or by ellipses.
#include <cstdint>
#include <span>
#include <vector>

#include "shared/geo/geometry.h"

namespace leeward::analysis {

/// An ellipse's form: its long axis is `ratio` times the short one and runs `angle` radians counter-clockwise from east.
struct ScanForm {
  double ratio = 1;
  double angle = 0;
  double penalty = 1;  ///< factor of the log likelihood ratio: sqrt(4 ratio / (ratio + 1)^2)
};

/// Circles alone, or the 47 forms of Kulldorff, Huang, Pickle & Duczmal 2006 (Stat. Med. 25, 3929-3943): ratios 1, 1.5, 2, 3, 4, 5 with 1, 4, 6, 9, 12, 15
/// angles, and its middle penalty for long ones.
std::vector<ScanForm> scanForms(bool ellipses);

/// Places by distance from one of them.
struct ScanOrder {
  std::vector<std::uint32_t> place;  ///< nearest first; ties by place
  std::vector<std::uint8_t> ends;    ///< 1 where a window may end: the next distance is strictly larger
};

class ScanWindows {
 public:
  /// lon_lat: places are degrees and circles are on the sphere; else they are plane metres. `size` is what a window may hold at most `largest` of.
  ScanWindows(std::span<const Point> places, bool lon_lat, std::vector<double> size, double largest);

  std::size_t places() const { return places_.size(); }
  /// The places that windows around `centre` may take in, without those beyond the largest window. `room` is kept from call to call.
  struct Room {
    std::vector<double> distance2;
    std::vector<std::uint64_t> keys, other;
    std::vector<double> held;
  };
  void order(std::size_t centre, const ScanForm& form, Room& room, ScanOrder& order) const;
  /// Metres between two places by a form: great circle on a sphere of 6371.0088 km; of ellipses the short half-axis.
  double distance(std::size_t centre, std::size_t place, const ScanForm& form) const;

 private:
  void measure(std::size_t centre, const ScanForm& form, std::vector<double>& distance2) const;
  void leaveOutFar(Room& room) const;

  std::span<const Point> places_;
  struct Unit {
    double x, y, z;
  };
  std::vector<Unit> units_;  ///< on the sphere; empty in the plane
  std::vector<double> size_;
  double most_ = 0;
};

}  // namespace leeward::analysis
