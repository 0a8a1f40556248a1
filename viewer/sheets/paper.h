#pragma once
/// Pages to files: PDF and SVG as vectors, PNG as pixels. One unit of every painter here is a point (1/72 inch).
#include <filesystem>
#include <functional>
#include <string>
#include <vector>

#include <QString>

#include "shared/base/dates.h"
#include "shared/base/progress.h"

class QPainter;

namespace leeward::sheets {

/// Stands on every page for the crew; pages that leave the team (hand_over.h) carry none, and are written by nobody else.
inline constexpr const char* kCrewStamp = "Holds client data - for the crew";

enum class PaperSize { A4, Letter };
struct Page {
  double width_pt = 0, height_pt = 0;
};
Page portrait(PaperSize size);
Page landscape(PaperSize size);

/// Paints one page. `clips`: whether the device can clip (SVG here can't).
using PagePainter = std::function<void(QPainter& painter, bool clips)>;

struct PaperFacts {
  QString title;
  Date date;      ///< stands as the date of making, so that the same input gives the same bytes
  int dpi = 300;  ///< PNG only
  const char* stamp = kCrewStamp;  ///< also in the description of .svg and .png; "" = none
};

/// Writes by extension: .pdf any number of pages (fonts embedded); .svg and .png exactly one. Mode 0600.
/// The same pages and facts give the same bytes on one machine. Errors: InvalidArgument (another extension, several pages to
/// .svg or .png), NotFound (typeface missing), Io, Cancelled.
Result<void> writePages(const std::filesystem::path& file, Page page, const PaperFacts& facts,
                        const std::vector<PagePainter>& pages, Progress& progress);

/// The stamp in a frame with its right upper corner at `right, top`; returns its width.
double drawStamp(QPainter& painter, double right, double top);

}  // namespace leeward::sheets
