#pragma once
/// Marks drawn on a map page: a dot on a map says as much as its coordinates, once the map's corners are known. Internal to viewer/sheets.
///
/// Read from the finished file, so that it does not matter what drew them: content streams (ISO 32000-1, 8.2 and 8.5: q, Q, cm; m, l, c, v, y,
/// h, re and the painting operators). A mark is a closed or filled shape of at most 12 points that is about as wide as high: discs, squares, diamonds, drops. What is not
/// seen: crosses of open lines, pictures of dots, marks within forms that are placed more than once.
#include <string_view>
#include <vector>

#include <QPointF>

namespace leeward::sheets {

/// Their middles in points from the page's left upper corner; the same for all pages.
std::vector<QPointF> marksOnPages(std::string_view pdf);

}  // namespace leeward::sheets
