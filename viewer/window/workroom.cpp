#include "viewer/window/workroom.h"

#include <QUndoCommand>
#include <string>
#include <utility>

namespace leeward::window {
namespace {

class Change : public QUndoCommand {
 public:
  Change(const QString& words, std::function<void()> redo, std::function<void()> undo) : QUndoCommand(words), redo_(std::move(redo)), undo_(std::move(undo)) {}
  void redo() override {
    if (redo_) redo_();
  }
  void undo() override {
    undo_();
    if (!redo_) setObsolete(true);  // a file that was taken back comes in again by a person's hand alone
  }

 private:
  std::function<void()> redo_, undo_;
};

std::string blockIdAt(const study::Findings& findings, std::size_t row) { return findings.blocks.table.find("block_id")->asText(row); }

}  // namespace

void Workroom::open(const std::filesystem::path& folder) {
  const QString name = QString::fromStdString(folder.filename().string());
  jobs_.start<study::ShownFirst>(
      this, tr("Opening %1").arg(name), [folder](Progress& progress) { return study::shownFirst(folder, progress); },
      [this, folder, name](const study::ShownFirst& first) {
        show(folder, first.outcome);
        if (first.is_of_today) return;
        say(tr("These are the figures of %1; those of today are being made.").arg(QString::fromStdString(toWords(findings_->as_of))));
        jobs_.start<study::RunOutcome>(
            this, tr("Bringing %1 up to today").arg(name), [folder](Progress& progress) { return study::runStudy({.folder = folder}, progress); },
            [this, folder](const study::RunOutcome& outcome) { show(folder, outcome); });
      });
}

void Workroom::show(const std::filesystem::path& folder, const study::RunOutcome& outcome) {
  const std::string chosen = findings_ && block_ && folder == folder_ ? blockIdAt(*findings_, *block_) : "";
  if (folder != folder_) undo_.clear();  // what was done in another study is not taken back in this one
  folder_ = folder;
  findings_ = outcome.findings;
  study_ = outcome.study;
  reweigher_.begin(folder, findings_, study_);
  block_.reset();
  for (std::size_t row = 0; !chosen.empty() && row < findings_->blocks.rows(); ++row) {
    if (blockIdAt(*findings_, row) == chosen) block_ = row;
  }
  emit opened();
}

void Workroom::selectBlock(qint64 row) {
  const auto wanted = row < 0 ? std::nullopt : std::optional(static_cast<std::size_t>(row));
  if (wanted == block_) return;
  block_ = wanted;
  emit blockSelected();
}

void Workroom::openBlockCard(const QString& title, std::size_t block) {
  const std::string id = blockIdAt(*findings_, block);
  const Table& premises = findings_->premises.table;
  const Column &blocks = *premises.find("block_id"), &looked = *premises.find("looked"), &ids = *premises.find("premises_id");
  std::vector<std::string> here;
  for (std::size_t row = 0; row < premises.rows(); ++row) {
    if (looked.asInteger(row).value_or(0) != 0 && blocks.textAt(row) == id) here.push_back(ids.asText(row));
  }
  emit cardAsked(title, here);
}

void Workroom::change(const QString& words, std::function<void()> redo, std::function<void()> undo) { undo_.push(new Change(words, std::move(redo), std::move(undo))); }

}  // namespace leeward::window
