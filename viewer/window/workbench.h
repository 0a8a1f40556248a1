#pragma once
/// The window: one map that stays, beside it the page of the question in hand; both linked.
#include <QMainWindow>
#include <QTimer>
#include <filesystem>
#include <optional>
#include <vector>

#include "viewer/window/memory.h"
#include "viewer/window/workroom.h"

class QScrollArea;
class QStackedWidget;

namespace leeward::window {

class AnswerPage;
class CardPage;
class MapCanvas;
class MapFrame;
class NewStudyPage;
class QuestionLine;
class SettleDesk;
class SettlePage;
class StartPage;
class TypingPage;

class Workbench : public QMainWindow {
  Q_OBJECT

 public:
  explicit Workbench(QWidget* parent = nullptr);
  ~Workbench() override;

  /// Brings the study up to date in the background and shows it.
  void openStudy(const std::filesystem::path& folder) { room_.open(folder); }
  /// The study that was open the last time, where one was; nothing if none was.
  void reopen();
  bool hasStudy() const { return room_.findings() != nullptr; }
  Workroom& room() { return room_; }
  bool isSettled() const;  ///< nothing is under way, and the map shows what was asked for
  void chooseQuestion(const QString& key);
  QString question() const;
  /// Everything anew in another look; where one was stays.
  void wear(Look wanted);
  void keepMemory();  ///< now, instead of in a moment

 protected:
  void resizeEvent(QResizeEvent* event) override;

 private:
  void build();
  QWidget* buildWork();
  void addShortcuts();
  void askForStudy();
  void makeSample();
  void showOpened();
  void refreshPage(std::size_t index);  ///< if it hasn't been since the study was opened
  void refreshRest();                   ///< all of them
  void refreshNext();                   ///< one of them now, each other in a turn of its own: keys and mouse come between
  void showPage(int index);
  void showMap(bool whole);
  void showHint(qint64 row, const QPoint& global);
  void buildSettling();
  void buildDesks();
  void startTyping();
  void endTyping();
  void showCard(const QString& title, const std::vector<std::string>& premises);
  void showLooks(const QString& title, const std::vector<std::string>& looks);
  void backToPage();
  void leaveDesks();
  void startSettling();
  void endSettling();
  void showCandidates();
  void goWhereOneWas();
  QWidget* buildLookButton();

  Workroom room_;
  StartPage* start_ = nullptr;
  NewStudyPage* new_ = nullptr;
  QStackedWidget* sides_ = nullptr;  ///< the start, the work, or a new study
  QStackedWidget* beside_ = nullptr;
  QWidget* column_ = nullptr;        ///< the page's column
  MapFrame* frame_ = nullptr;
  MapCanvas* map_ = nullptr;
  QuestionLine* line_ = nullptr;
  SettlePage* settle_ = nullptr;
  TypingPage* typing_ = nullptr;
  CardPage* card_ = nullptr;
  SettleDesk* desk_ = nullptr;
  std::vector<AnswerPage*> answers_;
  std::vector<bool> is_stale_;       ///< of each page: it shows the study as it was before
  std::size_t answer_ = 2;
  std::optional<Memory> was_;  ///< to go to once the study is open
  QTimer keeping_;
};

}  // namespace leeward::window
