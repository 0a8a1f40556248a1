#pragma once
/// What the themes share: ground layers, columns, words. Internal to viewer/draw.
#include <QString>

#include "viewer/draw/themes.h"

namespace leeward::draw {

MapTheme beenAndNotBeen(const study::Findings& findings, const ThemeOptions& options);
MapTheme whereNext(const study::Findings& findings, const ThemeOptions& options);
MapTheme whereNeedIs(const study::Findings& findings, const ThemeOptions& options);
MapTheme whereFindsGather(const study::Findings& findings, const ThemeOptions& options);
MapTheme sightingsTheme(const study::Findings& findings, const ThemeOptions& options);
MapTheme whatChanged(const study::Findings& findings, const ThemeOptions& options);

/// Title, ground colour and extent (of the blocks, or of whatever there is).
MapTheme startTheme(Question question, const study::Findings& findings);
/// Water, parks, streets and boundaries, over the blocks (a park's own block has no doors).
void addGround(MapPicture& picture, const study::Findings& findings, const ThemeOptions& options);
void addPremises(MapPicture& picture, const study::Findings& findings, const ThemeOptions& options);
/// The blocks under their own name, so that rowAt("blocks", ...) finds them.
MapLayer blockLayer(const study::Findings& findings);

/// The column's numbers, nan where missing or where there is no such column.
std::vector<double> reals(const Table& table, std::string_view column);
std::vector<std::string> texts(const Table& table, std::string_view column);
QString count(std::int64_t n);                                       ///< "1,204"
QString countOf(std::int64_t n, const char* one, const char* many);  ///< "1 block", "41 blocks"
QString percent(double part, double whole);                          ///< "42 %"; "none" of nothing: "0 %"
QString decimal(double value, int decimals = 1);
QString wholeRange(double low, double high);  ///< "110 to 180"

/// Signs by class, with a last sign where there is no value; fills legend entries with the counts.
void classifyBlocks(MapLayer& layer, LegendGroup& group, const std::vector<double>& values, const ClassLimits& limits,
                    const std::vector<QColor>& scheme, const QString& missing_words);

}  // namespace leeward::draw
