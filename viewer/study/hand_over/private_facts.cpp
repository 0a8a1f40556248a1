#include "viewer/study/hand_over/private_facts.h"

#include <cmath>

#include <fmt/format.h>

#include "analysis/place/parse.h"
#include "shared/base/text.h"
#include "viewer/study/reference.h"
#include "viewer/study/run/rows.h"

namespace leeward::study {
namespace {

using analysis::AddressLabel;

void addAddress(analysis::PrivateFacts& facts, const std::string& address) {
  if (trim(address).empty()) return;
  const auto parsed = analysis::parseAddress(address);
  std::string number, street;
  const auto append = [&](std::string& to, AddressLabel label, const char* gap) {
    const std::string words = element(parsed, label);
    if (!words.empty()) to += (to.empty() ? "" : gap) + words;
  };
  for (const auto label : {AddressLabel::AddressNumberPrefix, AddressLabel::AddressNumber, AddressLabel::AddressNumberSuffix}) append(number, label, "");
  for (const auto label : {AddressLabel::StreetNamePreModifier, AddressLabel::StreetNamePreDirectional, AddressLabel::StreetNamePreType, AddressLabel::StreetName, AddressLabel::StreetNamePostType,
                           AddressLabel::StreetNamePostDirectional, AddressLabel::StreetNamePostModifier}) {
    append(street, label, " ");
  }
  if (!number.empty() && !street.empty()) facts.homes.push_back({number, street});
}

/// Files come in degrees, but also in the Mercator of web maps and in the zone's own grid.
Result<void> addProjected(const RunContext& context, analysis::PrivateFacts& facts) {
  facts.is_local = context.frame.isLocal();
  if (facts.is_local || facts.lon_lat.empty()) return {};
  Bbox box;
  for (const Point p : facts.lon_lat) box.add(p);
  const Point middle = box.center();
  const int zone = std::clamp(static_cast<int>(std::floor((middle.x + 180) / 6)) + 1, 1, 60);
  for (const auto& code : {std::string("EPSG:3857"), fmt::format("EPSG:{}", (middle.y < 0 ? 32700 : 32600) + zone)}) {
    LEEWARD_ASSIGN(crs, Crs::parse(code));
    LEEWARD_ASSIGN(transform, Transform::between(context.positions(), crs));
    auto& points = facts.projected.emplace_back(facts.lon_lat);
    transform.apply(points);
  }
  return {};
}

}  // namespace

Result<analysis::PrivateFacts> privateFacts(const RunContext& context, const Book& book, const std::set<std::int32_t>& but) {
  analysis::PrivateFacts facts;
  std::vector<bool> is_private(book.doors.size());
  const auto addRows = [&](const Table& rows, const std::vector<std::int32_t>& door, const std::vector<Point>& position) {
    const auto address = textsOf(rows, "address"), household = textsOf(rows, "household"), phone = textsOf(rows, "phone");
    std::vector<Point> unplaced;
    for (std::size_t row = 0; row < rows.rows(); ++row) {
      if (but.contains(door[row])) continue;
      if (door[row] >= 0) is_private[static_cast<std::size_t>(door[row])] = true;
      else if (std::isfinite(position[row].x)) unplaced.push_back(position[row]);
      addAddress(facts, address[row]);
      if (!household.empty() && !trim(household[row]).empty()) facts.names.push_back(household[row]);
      if (!phone.empty() && !trim(phone[row]).empty()) facts.phones.push_back(phone[row]);
    }
    facts.lon_lat.insert(facts.lon_lat.end(), unplaced.begin(), unplaced.end());
  };
  addRows(book.looks, book.look_door, book.look_position);
  addRows(book.sightings, book.sighting_door, book.sighting_position);
  for (std::size_t door = 0; door < is_private.size(); ++door) {
    if (!is_private[door]) continue;
    facts.lon_lat.push_back(book.doors.position[door]);
    addAddress(facts, book.doors.address[door]);
  }
  for (const auto& name : textsOf(book.visits, "name")) facts.single_names.push_back(name);
  LEEWARD_ASSIGN(to_positions, Transform::between(context.frame, context.positions()));
  to_positions.apply(facts.lon_lat);
  LEEWARD_TRY(addProjected(context, facts));
  return facts;
}

}  // namespace leeward::study
