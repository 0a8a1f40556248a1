#include "viewer/draw/themes.h"

#include "viewer/draw/ground_image.h"
#include "viewer/draw/theme_parts.h"

namespace leeward::draw {

const std::vector<Question>& questions() {
  static const std::vector<Question> kQuestions = {Question::BeenAndNotBeen, Question::WhereNext, Question::WhereNeedIs,
                                                   Question::Sightings, Question::WhatChanged};
  return kQuestions;
}

QString questionTitle(Question question) {
  switch (question) {
    case Question::BeenAndNotBeen:
      return QStringLiteral("Where have we been, and where has nobody looked?");
    case Question::WhereNext:
      return QStringLiteral("Where next, with the crew-hours we have?");
    case Question::WhereNeedIs:
      return QStringLiteral("Where is the need?");
    case Question::Sightings:
      return QStringLiteral("Where have dogs been seen?");
    case Question::WhatChanged:
      return QStringLiteral("What changed?");
  }
  return {};
}

namespace {

MapTheme themeOf(Question question, const study::Findings& findings, const ThemeOptions& options) {
  switch (question) {
    case Question::BeenAndNotBeen:
      return beenAndNotBeen(findings, options);
    case Question::WhereNext:
      return whereNext(findings, options);
    case Question::WhereNeedIs:
      return options.finds ? whereFindsGather(findings, options) : whereNeedIs(findings, options);
    case Question::Sightings:
      return sightingsTheme(findings, options);
    case Question::WhatChanged:
      return whatChanged(findings, options);
  }
  return {};
}

}  // namespace

MapTheme forQuestion(Question question, const study::Findings& findings, const ThemeOptions& options) {
  MapTheme theme = themeOf(question, findings, options);
  putGroundBeneath(theme, findings);
  return theme;
}

}  // namespace leeward::draw
