#pragma once
/// The questions, in the order of a week's work, and how each page is made. A new page is a file in pages/ and a line in pages.cpp.
#include <QString>
#include <vector>

namespace leeward::window {

class AnswerPage;
class Workroom;

struct PageKind {
  const char* key;   ///< "next": kept with the window's state, and the page's object name
  const char* icon;  ///< of icons/, without ending
  QString name;      ///< as it stands in the line of questions
  AnswerPage* (*make)(Workroom& room);
};

/// Ctrl+1 leads to the first, and so on.
const std::vector<PageKind>& pageKinds();

AnswerPage* makeBringInPage(Workroom& room);
AnswerPage* makeBeenPage(Workroom& room);
AnswerPage* makeNextPage(Workroom& room);
AnswerPage* makeNeedPage(Workroom& room);
AnswerPage* makeChangedPage(Workroom& room);
AnswerPage* makeDuePage(Workroom& room);
AnswerPage* makeHandOverPage(Workroom& room);

}  // namespace leeward::window
