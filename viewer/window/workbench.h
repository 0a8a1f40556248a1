#pragma once
/// The window: one map that stays, the answer page beside it, both linked.
#include <QMainWindow>
#include <filesystem>
#include <memory>
#include <optional>

#include "viewer/draw/themes.h"
#include "viewer/draw/map_painter.h"

class QLabel;
class QProgressBar;
class QPushButton;
class QStackedWidget;

namespace leeward::window {

class AnswerPage;
class MapCanvas;
class SettleDesk;
class SettlePage;
class StudyLoader;

class Workbench : public QMainWindow {
  Q_OBJECT

 public:
  explicit Workbench(QWidget* parent = nullptr);

  /// Brings the study up to date in the background and shows it.
  void openStudy(const std::filesystem::path& folder);
  bool hasStudy() const { return findings_ != nullptr; }
  const study::Snapshot& findings() const { return findings_; }
  std::optional<std::size_t> selectedBlock() const { return selected_; }

 public slots:
  void selectBlock(qint64 row);  ///< row of Findings::blocks; -1 = none

 private:
  QWidget* buildStart();
  QWidget* buildWork();
  void askForStudy();
  void showFindings(study::Snapshot findings);
  void showQuestion(draw::Question question, bool whole);
  void showHint(qint64 row, const QPoint& global);
  void startSettling();
  void endSettling();
  void showCandidates();

  study::Snapshot findings_;
  std::optional<std::size_t> selected_;
  StudyLoader* loader_;
  QStackedWidget* pages_;
  MapCanvas* map_ = nullptr;
  AnswerPage* answer_ = nullptr;
  SettlePage* settle_ = nullptr;
  SettleDesk* desk_ = nullptr;
  QStackedWidget* beside_ = nullptr;  ///< the answer page, or that for settling
  std::filesystem::path folder_;
  QLabel* message_ = nullptr;    ///< start page: what is being done, or what went wrong
  QProgressBar* bar_ = nullptr;
  QPushButton *open_ = nullptr, *stop_ = nullptr;
};

}  // namespace leeward::window
