#include "viewer/window/reweigher.h"

#include <utility>

namespace leeward::window {

void Reweigher::begin(const std::filesystem::path& folder, study::Snapshot as_run, const study::StudyFile& study) {
  folder_ = folder;
  as_run_ = shown_ = std::move(as_run);
  own_ = what_if_ = study::asInStudy(study);
  kept_.reset();
  is_certain_ = true;
}

void Reweigher::set(study::WhatIf what_if) {
  if (what_if == what_if_) return;
  what_if_ = std::move(what_if);
  emit moved();
  if (isOwn()) {
    jobs_.forget(QStringLiteral("reweigh"));  // what is under way would come after it
    shown_ = as_run_;
    is_certain_ = true;
    emit followed();
    return;
  }
  is_certain_ = false;
  if (kept_) return follow(false);
  jobs_.look<std::shared_ptr<const study::Reweighing>>(
      this, QStringLiteral("reweigh"), [folder = folder_](Progress& progress) { return study::Reweighing::open(folder, progress); },
      [this](std::shared_ptr<const study::Reweighing> kept) {
        kept_ = std::move(kept);
        follow(false);
      },
      [this](const Problem& problem) { emit failed(QString::fromStdString(problem.text())); });
}

void Reweigher::follow(bool certainty) {
  jobs_.look<study::Snapshot>(
      this, QStringLiteral("reweigh"),
      [kept = kept_, what_if = what_if_, as_run = as_run_, certainty](Progress& progress) { return kept->findings(what_if, certainty, *as_run, progress); },
      [this, certainty](study::Snapshot made) {
        shown_ = std::move(made);
        is_certain_ = certainty;
        emit followed();
        if (!certainty) follow(true);
      },
      [this](const Problem& problem) { emit failed(QString::fromStdString(problem.text())); });
}

}  // namespace leeward::window
