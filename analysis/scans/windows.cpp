#include "analysis/scans/windows.h"

#include <algorithm>
#include <array>
#include <bit>
#include <cmath>
#include <numbers>
#include <numeric>
#include <utility>

namespace leeward::analysis {
namespace {

constexpr double kEarthM = 6371008.8;  // mean radius of the GRS 80 ellipsoid (Moritz 2000)
/// Distances closer than this share are one: what rounding does to equal ones is far smaller.
constexpr double kSame = 1e-9;

constexpr unsigned kBits = 11, kSlots = 1U << kBits, kTopShift = 64 - kBits;

/// Sorts by the upper half of the key, three passes of eleven bits; the lower half follows in its order.
void radixSort(std::vector<std::uint64_t>& keys, std::vector<std::uint64_t>& other) {
  other.resize(keys.size());
  for (unsigned shift = 32; shift < 64; shift += kBits) {
    std::array<std::uint32_t, kSlots> starts{};
    for (const auto key : keys) ++starts[(key >> shift) & (kSlots - 1)];
    std::uint32_t sum = 0;
    for (auto& start : starts) sum += std::exchange(start, sum);
    for (const auto key : keys) other[starts[(key >> shift) & (kSlots - 1)]++] = key;
    keys.swap(other);
  }
}

}  // namespace

std::vector<ScanForm> scanForms(bool ellipses) {
  std::vector<ScanForm> forms = {{}};
  if (!ellipses) return forms;
  constexpr std::array<std::pair<double, int>, 5> kForms = {{{1.5, 4}, {2, 6}, {3, 9}, {4, 12}, {5, 15}}};
  for (const auto& [ratio, angles] : kForms) {
    for (int i = 0; i < angles; ++i) forms.push_back({ratio, std::numbers::pi * i / angles, 2 * std::sqrt(ratio) / (ratio + 1)});
  }
  return forms;
}

ScanWindows::ScanWindows(std::span<const Point> places, bool lon_lat, std::vector<double> size, double largest)
    : places_(places), size_(std::move(size)), most_(largest * std::accumulate(size_.begin(), size_.end(), 0.0) * (1 + 1e-12)) {
  if (!lon_lat) return;
  for (const Point p : places) {
    const double lon = p.x * std::numbers::pi / 180, lat = p.y * std::numbers::pi / 180;
    units_.push_back({std::cos(lat) * std::cos(lon), std::cos(lat) * std::sin(lon), std::sin(lat)});
  }
}

void ScanWindows::measure(std::size_t centre, const ScanForm& form, std::vector<double>& distance2) const {
  distance2.resize(places_.size());
  if (!units_.empty()) {
    const Unit u = units_[centre];
    for (std::size_t i = 0; i < units_.size(); ++i) {
      const double dx = units_[i].x - u.x, dy = units_[i].y - u.y, dz = units_[i].z - u.z;
      distance2[i] = dx * dx + dy * dy + dz * dz;
    }
    return;
  }
  const Point p = places_[centre];
  const double along_x = std::cos(form.angle) / form.ratio, along_y = std::sin(form.angle) / form.ratio;
  const double across_x = -std::sin(form.angle), across_y = std::cos(form.angle);
  for (std::size_t i = 0; i < places_.size(); ++i) {
    const double dx = places_[i].x - p.x, dy = places_[i].y - p.y;
    const double along = dx * along_x + dy * along_y, across = dx * across_x + dy * across_y;
    distance2[i] = form.ratio == 1 ? dx * dx + dy * dy : along * along + across * across;
  }
}

double ScanWindows::distance(std::size_t centre, std::size_t place, const ScanForm& form) const {
  std::vector<double> distance2;
  measure(centre, form, distance2);
  const double root = std::sqrt(distance2[place]);
  return units_.empty() ? root : 2 * kEarthM * std::asin(std::min(1.0, root / 2));
}

/// Drops keys that are surely beyond the largest window: those after the slot of upper bits in which it is full and the next one that holds anything (which a
/// window's end is compared with).
void ScanWindows::leaveOutFar(Room& room) const {
  room.held.assign(kSlots, -1);
  for (const auto key : room.keys) {
    auto& held = room.held[key >> kTopShift];
    held = std::max(held, 0.0) + size_[static_cast<std::uint32_t>(key)];
  }
  double sum = 0;
  std::size_t last = 0;
  for (; last < kSlots && sum <= most_ * (1 + 1e-9); ++last) sum += std::max(room.held[last], 0.0);
  while (last < kSlots && room.held[last] < 0) ++last;
  std::erase_if(room.keys, [&](std::uint64_t key) { return (key >> kTopShift) > last; });
}

void ScanWindows::order(std::size_t centre, const ScanForm& form, Room& room, ScanOrder& order) const {
  measure(centre, form, room.distance2);
  const auto& d2 = room.distance2;
  room.keys.resize(d2.size());
  for (std::size_t i = 0; i < d2.size(); ++i) room.keys[i] = std::uint64_t{std::bit_cast<std::uint32_t>(static_cast<float>(d2[i]))} << 32U | i;
  if (d2.size() < 200) {
    std::sort(room.keys.begin(), room.keys.end());
  } else {
    leaveOutFar(room);
    radixSort(room.keys, room.other);
  }
  const auto placeAt = [&](std::size_t i) { return static_cast<std::uint32_t>(room.keys[i]); };
  // What a float can't tell apart.
  for (std::size_t i = 1; i < room.keys.size(); ++i) {
    const auto key = room.keys[i];
    const double mine = d2[static_cast<std::uint32_t>(key)];
    auto j = i;
    for (; j > 0 && d2[placeAt(j - 1)] > mine; --j) room.keys[j] = room.keys[j - 1];
    room.keys[j] = key;
  }
  order.place.clear(), order.ends.clear();
  double held = 0;
  for (std::size_t i = 0; i < room.keys.size(); ++i) {
    const auto place = placeAt(i);
    held += size_[place];
    if (held > most_) break;
    const bool ends = i + 1 == room.keys.size() || d2[placeAt(i + 1)] > d2[place] * (1 + kSame);
    order.place.push_back(place);
    order.ends.push_back(ends ? 1 : 0);
  }
}

}  // namespace leeward::analysis
