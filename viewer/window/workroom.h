#pragma once
/// What every page needs of the window: the study that is open, the block in hand, work on threads, undo.
#include <QObject>
#include <QUndoStack>
#include <filesystem>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "viewer/study/shown_first.h"
#include "viewer/window/jobs.h"
#include "viewer/window/reweigher.h"

namespace leeward::window {

class Workroom : public QObject {
  Q_OBJECT

 public:
  explicit Workroom(QObject* parent = nullptr) : QObject(parent), jobs_(this), reweigher_(jobs_) {}

  /// Shows the study in a folder, at once where nothing but the day has changed since its figures were made, and brings it up to date; opened() when its findings are there, problem() if they can't be had.
  void open(const std::filesystem::path& folder);
  /// The same for the study that is open: after rows came in or an address was settled.
  void bringUpToDate() { open(folder_); }
  const std::filesystem::path& folder() const { return folder_; }
  const study::Snapshot& findings() const { return findings_; }  ///< null before the first opened()
  const study::StudyFile& study() const { return study_; }

  std::optional<std::size_t> block() const { return block_; }  ///< the block in hand, a row of Findings::blocks
  void selectBlock(qint64 row);                                ///< -1: none
  /// Opens the card of premises, or of all premises of a block.
  void openCard(const QString& title, const std::string& premises) { emit cardAsked(title, {premises}); }
  /// Opens the looks that a number is made of, by the ledger's ids.
  void openLooks(const QString& title, const std::vector<std::string>& looks) { emit looksAsked(title, looks); }
  void openBlockCard(const QString& title, std::size_t block);
  void say(const QString& words) { emit said(words); }         ///< one line that a person reads beside the page

  Jobs& jobs() { return jobs_; }
  const Jobs& jobs() const { return jobs_; }
  Reweigher& reweigher() { return reweigher_; }
  QUndoStack& undo() { return undo_; }
  /// Does `redo` now and keeps how to take it back; without a `redo` it is done already, and once taken back it is gone. `words`: "hours of an outing".
  void change(const QString& words, std::function<void()> redo, std::function<void()> undo);

 signals:
  void opened();         ///< the study's findings are new
  void blockSelected();
  void said(const QString& words);
  void typingAsked();     ///< the form for visits
  void cardAsked(const QString& title, const std::vector<std::string>& premises);
  void looksAsked(const QString& title, const std::vector<std::string>& looks);
  void addressesAsked();  ///< to settle those that are not clear

 private:
  void show(const std::filesystem::path& folder, const study::RunOutcome& outcome);

  Jobs jobs_;
  Reweigher reweigher_;
  QUndoStack undo_;
  std::filesystem::path folder_;
  study::Snapshot findings_;
  study::StudyFile study_;
  std::optional<std::size_t> block_;
};

}  // namespace leeward::window
