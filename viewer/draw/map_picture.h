#pragma once
/// What a map shows, as plain data: layers with signs, labels and an optional raster, in painting order.
///
/// Themes (viewer/draw/themes.h) make pictures from findings; PreparedMap (viewer/draw/map_painter.h) paints them.
#include <QImage>
#include <limits>
#include <string>
#include <vector>

#include "shared/geo/geometry.h"
#include "viewer/draw/sign.h"

namespace leeward::draw {

enum class LabelKind {
  Street,    ///< along the line, once a name
  Place,     ///< areas: parks, districts
  District,  ///< areas: jurisdictions and other boundaries
  Water,     ///< areas, in italics
  Badge,     ///< a short text in a disc (ranks); moved aside with a leader rather than dropped
  Note,      ///< several lines in a box (figures of an area)
};

struct MapLayer {
  std::string name;                      ///< for rowAt() and outlines: "blocks"
  const Geometries* geometry = nullptr;  ///< in the picture's frame; must outlive the making of a PreparedMap
  std::vector<Sign> signs;
  std::vector<int> sign_of_row;  ///< index into signs, -1 = not drawn; empty = sign 0 for all
  double coarsest_m_per_pt = std::numeric_limits<double>::infinity();  ///< left out when a point spans more metres
  LabelKind label_kind = LabelKind::Place;
  std::vector<QString> labels;  ///< one a row, "" = none; empty = no labels
  std::vector<int> label_rank;  ///< lower is placed first; empty = by row
  double label_coarsest_m_per_pt = std::numeric_limits<double>::infinity();
  std::vector<bool> badge_filled;  ///< Badge only: filled (true) or hollow disc
};

/// An image stretched over a box of the frame (rasters come already resampled: viewer/draw/heat_image.h).
struct MapImage {
  QImage image;  ///< null = none
  Bbox extent;
};

struct MapPicture {
  QColor ground;
  MapImage image;                ///< painted after the layers before `image_after`
  std::size_t image_after = 0;   ///< count of layers beneath the image
  std::vector<MapLayer> layers;  ///< lowest first
  Bbox extent;                   ///< what a first view shows
};

}  // namespace leeward::draw
