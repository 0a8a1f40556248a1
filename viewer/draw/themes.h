#pragma once
/// From a question to a map: title, one sentence of finding, picture and legend, made from findings.
#include <memory>
#include <string_view>

#include "viewer/draw/legend.h"
#include "viewer/draw/map_picture.h"
#include "viewer/study/findings.h"

namespace leeward::draw {

enum class Question { BeenAndNotBeen, WhereNext, WhereNeedIs, Sightings, WhatChanged };

/// In the order of the questions; the window's tabs and the sheets' kinds.
const std::vector<Question>& questions();
QString questionTitle(Question question);  ///< "Where have we been, and where has nobody looked?"

struct ThemeOptions {
  bool heat_beneath = false;  ///< WhereNeedIs: the heat raster as ground, need as discs
  bool looks_over = false;    ///< WhereNeedIs, without heat: hatched by the share of doors at which nobody ever looked
  bool premises = false;      ///< also the doors, as small dots (a near view)
  bool street_names = true;
  bool finds = false;         ///< WhereNeedIs: where finds gather for the looking done, in place of the index
};

struct MapTheme {
  Question question = Question::BeenAndNotBeen;
  QString title;
  QString finding;     ///< one sentence made of the numbers
  MapPicture picture;  ///< points into the findings: they must outlive the making of a PreparedMap
  Legend legend;
  std::shared_ptr<Geometries> made;  ///< what the theme itself had to make; the picture may point into it
  QString counted;                   ///< what n is: "n = 265 blocks, 9,012 doors, 3,811 looks"
  QString method;                    ///< how the classes came about, with sources
};

/// Layers that are missing from the findings are left out, and the finding says so; never fails.
MapTheme forQuestion(Question question, const study::Findings& findings, const ThemeOptions& options = {});

}  // namespace leeward::draw
