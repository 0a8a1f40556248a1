#pragma once
/// A map layer with its paths, anchors and name chains built once. Internal to viewer/draw.
#include <QPainterPath>
#include <vector>

#include "viewer/draw/map_picture.h"

namespace leeward::draw {

/// Pieces of line that carry one name, joined end to end.
struct NameChain {
  QString name;
  std::vector<QPointF> line;  ///< relative to the origin, y up
  double length_m = 0;
  Bbox box;  ///< of the world
};

struct PreparedRow {
  std::size_t row = 0;
  int sign = 0;
  QPainterPath path;  ///< relative to the origin, y up; even-odd; empty for points
  Bbox box;           ///< of the world
};

struct PreparedLayer {
  MapLayer plan;                  ///< its geometry pointer is null: what is needed was taken over
  std::vector<PreparedRow> rows;  ///< areas and lines that are drawn
  bool is_area = false;
  struct Spot {
    std::size_t row;
    int sign;
    Point at;
  };
  std::vector<Spot> spots;                ///< points
  std::vector<std::size_t> place_of_row;  ///< index into rows, or npos
  std::vector<Point> anchors;             ///< a point inside, a row each, for rows with labels; else nan
  std::vector<NameChain> chains;          ///< Street labels, longest first
};

PreparedLayer prepareLayer(const MapLayer& layer, Point origin);
/// A point inside the area (in the largest ring): its centroid if that is inside, else the middle of the widest stretch at
/// the centroid's height. For lines the middle vertex; nan, nan for a row without vertices.
Point anchorInside(const Geometries& geometry, std::size_t row);

}  // namespace leeward::draw
